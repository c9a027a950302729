"""Addresses of places."""

from django.urls import path

from testing.places import proposal_views, views

DESK = "desk/<slug:slug>/calls"
CALL = f"{DESK}/<int:pk>"

urlpatterns = [
    path(f"{CALL}/proposal/", proposal_views.proposal, name="proposal"),
    path(f"{CALL}/proposal/again/", proposal_views.proposal_again, name="proposal_again"),
    path(f"{CALL}/proposal/send/", proposal_views.proposal_send, name="proposal_send"),
    path("offers/<str:key>/", views.offer, name="offer"),
    path("offers/<str:key>/accept/", views.offer_accept, name="offer_accept"),
    path("offers/<str:key>/decline/", views.offer_decline, name="offer_decline"),
]
