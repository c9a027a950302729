"""Addresses of the catalogue, room by room."""

from django.urls import include, path

urlpatterns = [
    path("", include("catalogue.public.urls")),  # asked for most, so found first
    path("", include("catalogue.studio.urls")),
    path("", include("catalogue.drafts.urls")),
    path("", include("catalogue.older.urls")),
    path("", include("catalogue.sheets.urls")),
    path("", include("catalogue.instructions.urls")),
    path("", include("catalogue.materials.urls")),
    path("", include("catalogue.drawings.urls")),
    path("", include("catalogue.photos.urls")),
    path("", include("catalogue.helps.urls")),
    path("", include("catalogue.practice.urls")),
    path("", include("catalogue.special_stitches.urls")),
    path("", include("catalogue.technical_edit.urls")),
    path("", include("catalogue.holders.urls")),
    path("", include("catalogue.errata.urls")),
    path("", include("catalogue.questions.urls")),
    path("", include("catalogue.selling.urls")),
    path("", include("catalogue.publishing.urls")),
]
