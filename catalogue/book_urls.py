"""Addresses of words, photos, versions, errata, files and the public pages."""

from django.urls import include, path

from catalogue.views import photos, public, publishing, row_accounts, steps, technical_edits, versions, words

SECTION = "desk/<slug:slug>/words/sections/<int:section>/"
VERSION = "desk/<slug:slug>/versions/<str:number>/"
STEP = f"{SECTION}steps/<int:step>/"

urlpatterns = [
    path("desk/<slug:slug>/words/", words.words, name="words"),
    path("desk/<slug:slug>/rows/", row_accounts.row_by_row, name="row_by_row"),
    path("desk/<slug:slug>/rows.csv", row_accounts.row_by_row_csv, name="row_by_row_csv"),
    path("desk/<slug:slug>/words/add/", words.section_add, name="section_add"),
    path(SECTION, words.section, name="section"),
    path(f"{SECTION}delete/", words.section_delete, name="section_delete"),
    path(f"{SECTION}up/", words.section_up, name="section_up"),
    path(f"{SECTION}down/", words.section_down, name="section_down"),
    path(f"{SECTION}add/", steps.step_add, name="step_add"),
    path(STEP, steps.step, name="step"),
    path(f"{SECTION}preview/", steps.step_preview, name="step_preview"),
    path(f"{STEP}fill/", steps.step_fill, name="step_fill"),
    path(f"{STEP}number/", words.step_number, name="step_number"),
    path(f"{STEP}draft/", steps.step_draft, name="step_draft"),
    path(f"{STEP}draft/drop/", steps.step_draft_drop, name="step_draft_drop"),
    path(f"{STEP}delete/", words.step_delete, name="step_delete"),
    path(f"{STEP}up/", words.step_up, name="step_up"),
    path(f"{STEP}down/", words.step_down, name="step_down"),
    path("desk/<slug:slug>/photos/", photos.photos, name="photos"),
    path("desk/<slug:slug>/photos/<int:pk>/", photos.photo, name="photo"),
    path("desk/<slug:slug>/photos/<int:pk>/first/", photos.photo_first, name="photo_first"),
    path("desk/<slug:slug>/photos/<int:pk>/delete/", photos.photo_delete, name="photo_delete"),
    path("desk/<slug:slug>/versions/", versions.versions, name="versions"),
    path("desk/<slug:slug>/versions/publish/<str:kind>/", publishing.publish, name="publish"),
    path(VERSION, versions.version, name="version"),
    path("desk/<slug:slug>/technical-edit/", technical_edits.technical_edit, name="technical_edit"),
    path("desk/<slug:slug>/technical-edit/sign/", technical_edits.edit_sign_off, name="edit_sign_off"),
    path("desk/<slug:slug>/technical-edit/<int:pk>/", technical_edits.query_answer, name="query_answer"),
    path(f"{VERSION}progress/", publishing.version_progress, name="version_progress"),
    path(f"{VERSION}again/", publishing.version_again, name="version_again"),
    path(f"{VERSION}withdraw/", publishing.version_withdraw, name="version_withdraw"),
    path(f"{VERSION}editions/", publishing.edition_add, name="edition_add"),
    path("", include("catalogue.errata_urls")),
    path("files/editions/<int:pk>/", versions.edition_file, name="edition_file"),
    path("files/photos/<str:name>", public.photo_file, name="photo_file"),
    path("patterns/", public.catalogue, name="catalogue"),
    path("patterns/<slug:slug>/", public.pattern_page, name="pattern_page"),
    path("patterns/<slug:slug>/needs/", public.needs, name="needs"),
    path("patterns/<slug:slug>/which/", public.which, name="which"),
    path("", include("catalogue.holder_urls")),
    path("sitemap.xml", public.sitemap, name="sitemap"),
    path("robots.txt", public.robots, name="robots"),
    path(
        "patterns/<slug:slug>/<str:number>/corrections.pdf",
        public.corrections_file,
        name="corrections_file",
    ),
    path("patterns/<slug:slug>/<str:number>/corrections/", public.corrections, name="corrections"),
]
