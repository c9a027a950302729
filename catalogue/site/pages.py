"""Addresses of the pages of the whole studio."""

from django.urls import path

from catalogue.site.guide.views import guide, guide_part
from catalogue.site.views import home

urlpatterns = [
    path("", home.home, name="home"),
    path("guide/", guide, name="guide"),
    path("guide/<slug:name>/", guide_part, name="guide_part"),
]
