"""Addresses of running."""

from django.urls import path

from testing.running import place_views, views

DESK = "desk/<slug:slug>/calls"
CALL = f"{DESK}/<int:pk>"

urlpatterns = [
    path(f"{DESK}/", views.calls, name="calls"),
    path(f"{DESK}/now/", views.calls_now, name="calls_now"),
    path(f"{DESK}/new/", views.call_new, name="call_new"),
    path(f"{CALL}/", views.call, name="call"),
    path(f"{CALL}/change/", views.call_change, name="call_change"),
    path(f"{CALL}/open/", views.call_open, name="call_open"),
    path(f"{CALL}/close/", views.call_close, name="call_close"),
    path(f"{CALL}/end/", views.call_end, name="call_end"),
    path(f"{CALL}/file/<slug:form>/", views.call_file, name="call_file"),
    path(f"{CALL}/consents/", views.call_consents, name="call_consents"),
    path(f"{CALL}/dates/", views.call_extend, name="call_extend"),
    path(f"{CALL}/version/<str:number>/", views.call_version, name="call_version"),
    path(f"{CALL}/applications/<int:application>/place/", place_views.place_give, name="place_give"),
    path(f"{CALL}/applications/<int:application>/wait/", place_views.place_waiting, name="place_waiting"),
    path(f"{CALL}/places/<int:placement>/replace/", place_views.place_replace, name="place_replace"),
    path(f"{CALL}/places/<int:placement>/time/", place_views.place_more_time, name="place_more_time"),
    path(f"{CALL}/places/<int:placement>/remind/", place_views.place_remind, name="place_remind"),
    path(f"{CALL}/places/given/", place_views.places_given, name="places_given"),
    path(f"{CALL}/places/<int:placement>/given/", place_views.place_given, name="place_given"),
]
