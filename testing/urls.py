"""Addresses of the test calls, room by room."""

from django.urls import include, path

urlpatterns = [
    path("", include("testing.mails.urls")),
    path("", include("testing.applications.urls")),
    path("", include("testing.places.urls")),
    path("", include("testing.results.urls")),
    path("", include("testing.testers.urls")),
    path("", include("testing.verdicts.urls")),
    path("", include("testing.privacy.urls")),
    path("", include("testing.running.urls")),
]
