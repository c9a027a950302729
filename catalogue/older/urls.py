"""Addresses for older patterns."""

from django.urls import path

from catalogue.older import views

urlpatterns = [
    path("desk-older/", views.older_text, name="older_text"),
    path("desk-older/lists/", views.older_lists, name="older_lists"),
]
