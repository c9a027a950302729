"""Addresses of privacy."""

from django.urls import path

from testing.privacy import views

urlpatterns = [
    path("privacy/", views.privacy, name="privacy"),
    path("applications/<str:key>/erase/", views.application_erase, name="application_erase"),
    path("making/data/", views.my_data, name="my_data"),
    path("making/data/file/", views.my_data_file, name="my_data_file"),
    path("making/data/erase/", views.my_data_erase, name="my_data_erase"),
    path("making/data/no-more/", views.my_asking, name="my_asking"),
    path("making/units/", views.my_units, name="my_units"),
]
