"""Addresses of drafts."""

from django.urls import path

from catalogue.drafts import beginning_views, views

PATTERN = "desk/<slug:slug>"

urlpatterns = [
    path("desk/", views.desk, name="desk"),
    path("desk-load/", views.desk_load, name="desk_load"),
    path("desk-new/", beginning_views.desk_new, name="desk_new"),
    path("desk-begin/", beginning_views.beginnings, name="beginnings"),
    path("desk-begin/<slug:key>/", beginning_views.beginning, name="beginning"),
    path(f"{PATTERN}/", views.desk_pattern, name="desk_pattern"),
    path(f"{PATTERN}/facts/", views.facts, name="facts"),
    path(f"{PATTERN}/file/", views.pattern_file, name="pattern_file"),
]
