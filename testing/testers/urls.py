"""Addresses of testers."""

from django.urls import path

from testing.testers import views

urlpatterns = [
    path("studio/testers/", views.testers, name="testers"),
    path("studio/testers/<int:pk>/note/", views.tester_note, name="tester_note"),
    path("studio/testers/<int:pk>/ask/", views.tester_ask, name="tester_ask"),
]
