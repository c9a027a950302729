"""Addresses of errata and their guards, and of taking a pattern out of the list."""

from django.urls import path

from catalogue.views import errata, errata_tables, retiring

PATTERN = "desk/<slug:slug>"
ERRATUM = f"{PATTERN}/errata/<int:pk>"

urlpatterns = [
    path(f"{PATTERN}/errata/", errata_tables.errata, name="errata"),
    path(f"{PATTERN}/errata/file/", errata_tables.errata_csv, name="errata_file"),
    path(f"{PATTERN}/errata/new/", errata.erratum_new, name="erratum_new"),
    path(f"{ERRATUM}/", errata.erratum, name="erratum"),
    path(f"{ERRATUM}/change/", errata.erratum_change, name="erratum_change"),
    path(f"{ERRATUM}/confirm/", errata.erratum_confirm, name="erratum_confirm"),
    path(f"{ERRATUM}/dismiss/", errata.erratum_dismiss, name="erratum_dismiss"),
    path(f"{ERRATUM}/correct/", errata.erratum_correct, name="erratum_correct"),
    path(f"{ERRATUM}/merge/", errata.erratum_merge, name="erratum_merge"),
    path(f"{ERRATUM}/guards/", errata.guard_add, name="guard_add"),
    path(f"{PATTERN}/guards/<int:pk>/delete/", errata.guard_delete, name="guard_delete"),
    path(f"{PATTERN}/retire/", retiring.pattern_retire, name="pattern_retire"),
    path(f"{PATTERN}/offer/", retiring.pattern_offer, name="pattern_offer"),
]
