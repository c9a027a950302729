"""Addresses of the pages of the whole studio."""

from django.urls import path

from catalogue.site.guide.views import guide, guide_part
from catalogue.site.views import home, running

urlpatterns = [
    path("", home.home, name="home"),
    path("health/", running.health, name="health"),
    path("running/", running.running, name="running"),
    path("running/address/", running.running_address, name="running_address"),
    path("running/<uuid:key>/again/", running.task_again, name="task_again"),
    path("guide/", guide, name="guide"),
    path("guide/<slug:name>/", guide_part, name="guide_part"),
]
