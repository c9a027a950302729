"""Addresses of practice pieces."""

from django.urls import path

from catalogue.practice import views

urlpatterns = [
    path("desk/<slug:slug>/practice/", views.practice, name="practice"),
    path("desk/<slug:slug>/practice/recording/", views.practice_recording, name="practice_recording"),
]
