"""Addresses of photos."""

from django.urls import path

from catalogue.photos import swatch_views, views

urlpatterns = [
    path("desk/<slug:slug>/photos/", views.photos, name="photos"),
    path("desk/<slug:slug>/photos/<int:pk>/", views.photo, name="photo"),
    path("desk/<slug:slug>/photos/<int:pk>/first/", views.photo_first, name="photo_first"),
    path("desk/<slug:slug>/photos/<int:pk>/delete/", views.photo_delete, name="photo_delete"),
    path("desk/<slug:slug>/swatches/", swatch_views.swatches, name="swatches"),
    path("desk/<slug:slug>/swatches/<int:pk>/use/", swatch_views.swatch_use, name="swatch_use"),
    path("desk/<slug:slug>/swatches/<int:pk>/delete/", swatch_views.swatch_delete, name="swatch_delete"),
]
