"""Addresses of helps."""

from django.urls import path

from catalogue.helps import public_views, views

HELPS = "studio/helps"

urlpatterns = [
    path(f"{HELPS}/", views.helps, name="helps"),
    path(f"{HELPS}-new/", views.help_new, name="help_new"),
    path(f"{HELPS}-check/", views.helps_check, name="helps_check"),
    path(f"{HELPS}/<int:pk>/", views.help_edit, name="help_edit"),
    path(f"{HELPS}/<int:pk>/pictures/", views.help_pictures, name="help_pictures"),
    path(f"{HELPS}/<int:pk>/check/", views.help_check, name="help_check"),
    path(f"{HELPS}/<int:pk>/delete/", views.help_delete, name="help_delete"),
    path("studio/help-pictures/<int:pk>/up/", views.help_picture_up, name="help_picture_up"),
    path("studio/help-pictures/<int:pk>/delete/", views.help_picture_delete, name="help_picture_delete"),
    path("desk/<slug:slug>/helps/", views.pattern_helps, name="pattern_helps"),
    path("desk/<slug:slug>/helps/<int:pk>/put/", views.pattern_help_put, name="pattern_help_put"),
    path("h/<slug:code>/", public_views.help_page, name="help_page"),
]
