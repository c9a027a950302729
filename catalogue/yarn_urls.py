"""Addresses of yarns and shades, and of the drawn pages of a pattern: pieces and stripes."""

from django.urls import path

from catalogue.views import pieces, yarns

YARNS = "studio/yarns"
PATTERN = "desk/<slug:slug>"

urlpatterns = [
    path(f"{YARNS}/", yarns.yarns, name="yarns"),
    path(f"{YARNS}-new/", yarns.yarn_new, name="yarn_new"),
    path(f"{YARNS}/<int:pk>/", yarns.studio_yarn, name="studio_yarn"),
    path(f"{YARNS}/<int:pk>/delete/", yarns.yarn_delete, name="yarn_delete"),
    path(f"{YARNS}/<int:pk>/shades/", yarns.shade_add, name="shade_add"),
    path("studio/shades/<int:pk>/", yarns.shade, name="shade"),
    path("studio/shades/<int:pk>/delete/", yarns.shade_delete, name="shade_delete"),
    path("studio/tools/", yarns.tool_lengths, name="tool_lengths"),
    path(f"{PATTERN}/pieces/", pieces.pieces, name="pieces"),
    path(f"{PATTERN}/yarn/stripes/", pieces.stripe_plan, name="stripe_plan"),
    path(f"{PATTERN}/yarn/shades/", yarns.pattern_yarns, name="pattern_yarns"),
]
