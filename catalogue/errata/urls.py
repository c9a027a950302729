"""Addresses of errata."""

from django.urls import path

from catalogue.errata import table_views, views

PATTERN = "desk/<slug:slug>"
ERRATUM = f"{PATTERN}/errata/<int:pk>"

urlpatterns = [
    path(f"{PATTERN}/errata/", table_views.errata, name="errata"),
    path(f"{PATTERN}/errata/file/", table_views.errata_csv, name="errata_file"),
    path(f"{PATTERN}/errata/new/", views.erratum_new, name="erratum_new"),
    path(f"{ERRATUM}/", views.erratum, name="erratum"),
    path(f"{ERRATUM}/change/", views.erratum_change, name="erratum_change"),
    path(f"{ERRATUM}/confirm/", views.erratum_confirm, name="erratum_confirm"),
    path(f"{ERRATUM}/dismiss/", views.erratum_dismiss, name="erratum_dismiss"),
    path(f"{ERRATUM}/correct/", views.erratum_correct, name="erratum_correct"),
    path(f"{ERRATUM}/merge/", views.erratum_merge, name="erratum_merge"),
    path(f"{ERRATUM}/guards/", views.guard_add, name="guard_add"),
    path(f"{PATTERN}/guards/<int:pk>/delete/", views.guard_delete, name="guard_delete"),
]
