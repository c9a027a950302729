"""Addresses that only the demo has."""

from django.urls import path

from catalogue.site import tour

urlpatterns = [
    path("tour/", tour.tour, name="tour"),
    path("tour/<int:number>/", tour.tour_stop, name="tour_stop"),
    path("tour/leave/", tour.tour_leave, name="tour_leave"),
]
