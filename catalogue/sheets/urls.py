"""Addresses of sheets."""

from django.urls import path

from catalogue.sheets import (
    copying_views,
    coverage_views,
    entry_views,
    file_views,
    grid_views,
    join_views,
    settle_views,
    table_views,
    views,
    yarn_views,
)

TABLES = "studio/size-tables"
TABLE = f"{TABLES}/<slug:key>"
PATTERN = "desk/<slug:slug>"
USE = f"{TABLE}/use/<slug:slug>"
ENTRY = f"{PATTERN}/parts/<slug:part>/<int:place>"

urlpatterns = [
    path(f"{PATTERN}/undo/", views.undo, name="undo"),
    path(f"{PATTERN}/sheet/", views.sheet, name="sheet"),
    path(f"{PATTERN}/grid/preview/", grid_views.grid_preview, name="grid_preview"),
    path(f"{PATTERN}/grid/save/", grid_views.grid_save, name="grid_save"),
    path(f"{PATTERN}/joins/", join_views.joins, name="joins"),
    path(f"{PATTERN}/settle/", settle_views.settle, name="settle"),
    path(f"{PATTERN}/formulas/", views.formula_help, name="formula_help"),
    path(f"{PATTERN}/sizes/", views.sizes, name="sizes"),
    path(f"{PATTERN}/body/", views.body_table, name="body_table"),
    path(f"{PATTERN}/sheet/<slug:name>/", entry_views.value, name="value"),
    path(f"{PATTERN}/sheet/<slug:name>/preview/", entry_views.value_preview, name="value_preview"),
    path(f"{PATTERN}/sheet/<slug:name>/origin/", entry_views.value_origin, name="value_origin"),
    path(f"{PATTERN}/add/<slug:part>/", entry_views.entry_new, name="entry_new"),
    path(f"{PATTERN}/add/<slug:part>/preview/", entry_views.entry_preview, name="entry_new_preview"),
    path(f"{ENTRY}/", entry_views.entry, name="entry"),
    path(f"{ENTRY}/preview/", entry_views.entry_preview, name="entry_preview"),
    path(f"{ENTRY}/delete/", entry_views.entry_delete, name="entry_delete"),
    path(f"{ENTRY}/move/", entry_views.entry_move, name="entry_move"),
    path(f"{PATTERN}/copy/", copying_views.pattern_copy, name="pattern_copy"),
    path(f"{PATTERN}/bring/", copying_views.bring, name="bring"),
    path(f"{PATTERN}/bring/<slug:source>/", copying_views.bring_from, name="bring_from"),
    path(f"{PATTERN}/options/", yarn_views.options_page, name="options_page"),
    path(f"{PATTERN}/yarn/", yarn_views.yarn_page, name="yarn_page"),
    path(f"{PATTERN}/yarn/allowance/", yarn_views.allowance, name="allowance"),
    path(f"{TABLES}/", table_views.size_tables, name="size_tables"),
    path(f"{TABLES}-new/", table_views.size_table_new, name="size_table_new"),
    path(f"{TABLES}-new/check/", table_views.size_table_new_check, name="size_table_new_check"),
    path(f"{TABLES}-new/store/", table_views.size_table_new_store, name="size_table_new_store"),
    path(f"{TABLE}/", table_views.size_table, name="size_table"),
    path(f"{TABLE}/compared/", table_views.size_table_compared, name="size_table_compared"),
    path(f"{TABLE}/file/", table_views.size_table_file, name="size_table_file"),
    path(f"{TABLE}/change/", table_views.size_table_change, name="size_table_change"),
    path(f"{TABLE}/change/check/", table_views.size_table_check, name="size_table_check"),
    path(f"{TABLE}/change/store/", table_views.size_table_store, name="size_table_store"),
    path(f"{TABLE}/delete/", table_views.size_table_delete, name="size_table_delete"),
    path(f"{TABLE}/coverage/", coverage_views.coverage, name="coverage"),
    path("desk/<slug:slug>/tables/", table_views.pattern_tables, name="pattern_tables"),
    path(f"{USE}/", table_views.table_use, name="table_use"),
    path(f"{USE}/check/", table_views.table_use_check, name="table_use_check"),
    path(f"{USE}/store/", table_views.table_use_store, name="table_use_store"),
    path(f"{PATTERN}/workbook/<slug:kind>/", file_views.sheet_file, name="sheet_file"),
    path(f"{PATTERN}/lists/", file_views.value_lists, name="value_lists"),
    path(f"{PATTERN}/lists/check/", file_views.value_lists_check, name="value_lists_check"),
    path(f"{PATTERN}/lists/store/", file_views.value_lists_store, name="value_lists_store"),
]
