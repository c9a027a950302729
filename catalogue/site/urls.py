"""Root addresses."""

from django.urls import include, path

urlpatterns = [
    path("", include("catalogue.site.pages")),
    path("account/", include("allauth.urls")),
    path("", include("catalogue.urls")),
    path("", include("testing.urls")),
]
