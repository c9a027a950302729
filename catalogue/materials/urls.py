"""Addresses of materials."""

from django.urls import path

from catalogue.materials import ended_views, instead_views, views

PATTERN = "desk/<slug:slug>"
YARNS = "studio/yarns"

urlpatterns = [
    path(f"{YARNS}/", views.yarns, name="yarns"),
    path(f"{YARNS}-new/", views.yarn_new, name="yarn_new"),
    path(f"{YARNS}/<int:pk>/", views.studio_yarn, name="studio_yarn"),
    path(f"{YARNS}/<int:pk>/delete/", views.yarn_delete, name="yarn_delete"),
    path(f"{YARNS}/<int:pk>/ended/", ended_views.yarn_ended, name="yarn_ended"),
    path(f"{YARNS}/<int:pk>/shades/", views.shade_add, name="shade_add"),
    path("studio/shades/<int:pk>/", views.shade, name="shade"),
    path("studio/shades/<int:pk>/delete/", views.shade_delete, name="shade_delete"),
    path("studio/tools/", views.tool_lengths, name="tool_lengths"),
    path(f"{PATTERN}/yarn/instead/", instead_views.yarn_instead, name="yarn_instead"),
    path(f"{PATTERN}/yarn/shades/", views.pattern_yarns, name="pattern_yarns"),
]
