"""Addresses of drafts."""

from django.urls import path

from catalogue.drafts import views

PATTERN = "desk/<slug:slug>"

urlpatterns = [
    path("desk/", views.desk, name="desk"),
    path("desk-load/", views.desk_load, name="desk_load"),
    path("desk-new/", views.desk_new, name="desk_new"),
    path(f"{PATTERN}/", views.desk_pattern, name="desk_pattern"),
    path(f"{PATTERN}/facts/", views.facts, name="facts"),
    path(f"{PATTERN}/file/", views.pattern_file, name="pattern_file"),
]
