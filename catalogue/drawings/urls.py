"""Addresses of drawings."""

from django.urls import path

from catalogue.drawings import grade_views, picture_views, stitch_views, views

PATTERN = "desk/<slug:slug>"
STITCHES = f"{PATTERN}/words/stitch-patterns/"

urlpatterns = [
    path("desk-begin/<slug:key>/face.svg", views.construction_face, name="construction_face"),
    path(f"{PATTERN}/face.svg", views.pattern_face, name="pattern_face"),
    path(f"{PATTERN}/pieces/", views.pieces, name="pieces"),
    path(f"{PATTERN}/grade/", grade_views.see_grade, name="see_grade"),
    path(f"{PATTERN}/sheet/<slug:name>/trail/", grade_views.value_trail, name="value_trail"),
    path(STITCHES, stitch_views.stitch_patterns, name="stitch_patterns"),
    path(f"{STITCHES}add/", stitch_views.stitch_pattern_new, name="stitch_pattern_new"),
    path(f"{STITCHES}<int:number>/", stitch_views.stitch_pattern, name="stitch_pattern"),
    path(
        f"{STITCHES}<int:number>/preview/",
        stitch_views.stitch_pattern_preview,
        name="stitch_pattern_preview",
    ),
    path(f"{STITCHES}<int:number>/delete/", stitch_views.stitch_pattern_delete, name="stitch_pattern_delete"),
    path(f"{PATTERN}/yarn/stripes/", views.stripe_plan, name="stripe_plan"),
    path(
        f"{PATTERN}/parts/<slug:part>/<int:place>/picture/", picture_views.entry_picture, name="entry_picture"
    ),
    path(f"{PATTERN}/add/<slug:part>/picture/", picture_views.entry_picture, name="entry_new_picture"),
]
