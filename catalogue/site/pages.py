"""Addresses of the whole studio."""

from django.urls import path

from catalogue.site import views

urlpatterns = [
    path("", views.home, name="home"),
]
