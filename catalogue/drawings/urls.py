"""Addresses of drawings."""

from django.urls import path

from catalogue.drawings import views

PATTERN = "desk/<slug:slug>"

urlpatterns = [
    path(f"{PATTERN}/pieces/", views.pieces, name="pieces"),
    path(f"{PATTERN}/yarn/stripes/", views.stripe_plan, name="stripe_plan"),
]
