"""Addresses of the desk: patterns, sheets, yarn; and those of tables, drawings and the book."""

from django.urls import include, path

from catalogue.views import desk, entries, sheet, yarn

PATTERN = "desk/<slug:slug>"
ENTRY = f"{PATTERN}/parts/<slug:part>/<int:place>"

urlpatterns = [
    path("desk/", desk.desk, name="desk"),
    path("desk-load/", desk.desk_load, name="desk_load"),
    path("desk-new/", desk.desk_new, name="desk_new"),
    path(f"{PATTERN}/", desk.desk_pattern, name="desk_pattern"),
    path(f"{PATTERN}/facts/", desk.facts, name="facts"),
    path(f"{PATTERN}/file/", desk.pattern_file, name="pattern_file"),
    path(f"{PATTERN}/undo/", sheet.undo, name="undo"),
    path(f"{PATTERN}/sheet/", sheet.sheet, name="sheet"),
    path(f"{PATTERN}/sizes/", sheet.sizes, name="sizes"),
    path(f"{PATTERN}/body/", sheet.body_table, name="body_table"),
    path(f"{PATTERN}/sheet/<slug:name>/", entries.value, name="value"),
    path(f"{PATTERN}/sheet/<slug:name>/preview/", entries.value_preview, name="value_preview"),
    path(f"{PATTERN}/sheet/<slug:name>/origin/", entries.value_origin, name="value_origin"),
    path(f"{PATTERN}/add/<slug:part>/", entries.entry_new, name="entry_new"),
    path(f"{PATTERN}/add/<slug:part>/preview/", entries.entry_preview, name="entry_new_preview"),
    path(f"{ENTRY}/", entries.entry, name="entry"),
    path(f"{ENTRY}/preview/", entries.entry_preview, name="entry_preview"),
    path(f"{ENTRY}/delete/", entries.entry_delete, name="entry_delete"),
    path(f"{ENTRY}/move/", entries.entry_move, name="entry_move"),
    path(f"{PATTERN}/yarn/", yarn.yarn_page, name="yarn_page"),
    path(f"{PATTERN}/yarn/allowance/", yarn.allowance, name="allowance"),
    path("", include("catalogue.table_urls")),
    path("", include("catalogue.yarn_urls")),
    path("", include("catalogue.book_urls")),
]
