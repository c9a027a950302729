"""Addresses of publishing."""

from django.urls import path

from catalogue.publishing import downloads_views, draft_pdf_views, retiring_views, version_views, views

PATTERN = "desk/<slug:slug>"
VERSION = "desk/<slug:slug>/versions/<str:number>/"

urlpatterns = [
    path(f"{PATTERN}/draft.pdf", draft_pdf_views.draft_pdf, name="draft_pdf"),
    path(f"{PATTERN}/draft-compared/", version_views.draft_compared, name="draft_compared"),
    path("desk/<slug:slug>/versions/", version_views.versions, name="versions"),
    path("desk/<slug:slug>/versions/publish/<str:kind>/", views.publish, name="publish"),
    path(VERSION, version_views.version, name="version"),
    path(f"{VERSION}progress/", views.version_progress, name="version_progress"),
    path(f"{VERSION}again/", views.version_again, name="version_again"),
    path(f"{VERSION}withdraw/", views.version_withdraw, name="version_withdraw"),
    path(f"{VERSION}editions/", views.edition_add, name="edition_add"),
    path("files/editions/<int:pk>/", version_views.edition_file, name="edition_file"),
    path(f"{PATTERN}/retire/", retiring_views.pattern_retire, name="pattern_retire"),
    path(f"{PATTERN}/offer/", retiring_views.pattern_offer, name="pattern_offer"),
    path(f"{PATTERN}/downloads/", downloads_views.pattern_downloads, name="pattern_downloads"),
    path(f"{PATTERN}/public-chart/", retiring_views.pattern_chart, name="pattern_chart"),
]
