"""Addresses of photos."""

from django.urls import path

from catalogue.photos import views

urlpatterns = [
    path("desk/<slug:slug>/photos/", views.photos, name="photos"),
    path("desk/<slug:slug>/photos/<int:pk>/", views.photo, name="photo"),
    path("desk/<slug:slug>/photos/<int:pk>/first/", views.photo_first, name="photo_first"),
    path("desk/<slug:slug>/photos/<int:pk>/delete/", views.photo_delete, name="photo_delete"),
]
