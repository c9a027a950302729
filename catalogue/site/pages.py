"""Addresses of the pages of the whole studio."""

from django.urls import path

from catalogue.site.views import home

urlpatterns = [
    path("", home.home, name="home"),
]
