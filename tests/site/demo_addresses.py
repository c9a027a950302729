"""The root addresses as the demo has them."""

from django.urls import include, path

from catalogue.site.urls import urlpatterns as of_every_studio

urlpatterns = [*of_every_studio, path("", include("catalogue.site.demo_pages"))]
