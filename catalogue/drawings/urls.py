"""Addresses of drawings."""

from django.urls import path

from catalogue.drawings import grade_views, picture_views, views

PATTERN = "desk/<slug:slug>"

urlpatterns = [
    path(f"{PATTERN}/face.svg", views.pattern_face, name="pattern_face"),
    path(f"{PATTERN}/pieces/", views.pieces, name="pieces"),
    path(f"{PATTERN}/grade/", grade_views.see_grade, name="see_grade"),
    path(f"{PATTERN}/sheet/<slug:name>/trail/", grade_views.value_trail, name="value_trail"),
    path(f"{PATTERN}/yarn/stripes/", views.stripe_plan, name="stripe_plan"),
    path(
        f"{PATTERN}/parts/<slug:part>/<int:place>/picture/", picture_views.entry_picture, name="entry_picture"
    ),
    path(f"{PATTERN}/add/<slug:part>/picture/", picture_views.entry_picture, name="entry_new_picture"),
]
