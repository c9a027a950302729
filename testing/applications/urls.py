"""Addresses of applications."""

from django.urls import path

from testing.applications import preview_views, views

urlpatterns = [
    path(
        "desk/<slug:slug>/calls/<int:pk>/as-testers/", preview_views.call_as_testers, name="call_as_testers"
    ),
    path("calls/", views.call_list, name="call_list"),
    path("calls/<slug:slug>/", views.call_page, name="call_page"),
    path("calls/<slug:slug>/apply/", views.apply, name="apply"),
    path("calls/<slug:slug>/apply/look/", views.apply_look, name="apply_look"),
    path("calls/<slug:slug>/applied/", views.applied, name="applied"),
    path("applications/<str:key>/change/", views.application_change, name="application_change"),
    path("applications/<str:key>/look/", views.application_look, name="application_look"),
    path("applications/<str:key>/", views.application, name="application"),
]
