"""Addresses of special stitches."""

from django.urls import path

from catalogue.special_stitches import pattern_views, views

STITCHES = "studio/special-stitches"
PICTURES = "studio/stitch-pictures"
PATTERN = "desk/<slug:slug>/special-stitches"

urlpatterns = [
    path(f"{STITCHES}/", views.special_stitches, name="special_stitches"),
    path(f"{STITCHES}-new/", views.special_stitch_new, name="special_stitch_new"),
    path(f"{STITCHES}-preview/", views.special_stitch_preview, name="special_stitch_preview"),
    path(f"{STITCHES}/<int:pk>/", views.special_stitch_edit, name="special_stitch"),
    path(f"{STITCHES}/<int:pk>/pictures/", views.special_stitch_pictures, name="special_stitch_pictures"),
    path(f"{STITCHES}/<int:pk>/delete/", views.special_stitch_delete, name="special_stitch_delete"),
    path(f"{PICTURES}/<int:pk>/up/", views.stitch_picture_up, name="stitch_picture_up"),
    path(f"{PICTURES}/<int:pk>/delete/", views.stitch_picture_delete, name="stitch_picture_delete"),
    path(f"{PATTERN}/", pattern_views.pattern_stitches, name="pattern_stitches"),
    path(f"{PATTERN}/<int:pk>/take/", pattern_views.pattern_stitch_take, name="pattern_stitch_take"),
    path(f"{PATTERN}/<slug:name>/keep/", pattern_views.pattern_stitch_keep, name="pattern_stitch_keep"),
    path(f"{PATTERN}/<slug:name>/delete/", pattern_views.pattern_stitch_delete, name="pattern_stitch_delete"),
]
