"""Addresses of instructions."""

from django.urls import path

from catalogue.instructions import row_views, step_views, text_views, views

SECTION = "desk/<slug:slug>/words/sections/<int:section>/"
TEXT = "desk/<slug:slug>/words/text/"
STEP = f"{SECTION}steps/<int:step>/"

urlpatterns = [
    path("desk/<slug:slug>/words/", views.words, name="words"),
    path("desk/<slug:slug>/rows/", row_views.row_by_row, name="row_by_row"),
    path("desk/<slug:slug>/rows/reason/", row_views.row_reason, name="row_reason"),
    path("desk/<slug:slug>/rows/<slug:kind>/", row_views.row_by_row_file, name="row_by_row_file"),
    path(TEXT, text_views.words_text, name="words_text"),
    path(f"{TEXT}change/", text_views.words_text_change, name="words_text_change"),
    path(f"{TEXT}preview/", text_views.words_text_preview, name="words_text_preview"),
    path(f"{TEXT}read/", text_views.words_text_read, name="words_text_read"),
    path("desk/<slug:slug>/words/add/", views.section_add, name="section_add"),
    path(SECTION, views.section, name="section"),
    path(f"{SECTION}delete/", views.section_delete, name="section_delete"),
    path(f"{SECTION}up/", views.section_up, name="section_up"),
    path(f"{SECTION}down/", views.section_down, name="section_down"),
    path(f"{SECTION}add/", step_views.step_add, name="step_add"),
    path(STEP, step_views.step, name="step"),
    path(f"{SECTION}preview/", step_views.step_preview, name="step_preview"),
    path(f"{STEP}fill/", step_views.step_fill, name="step_fill"),
    path(f"{STEP}shaping/", step_views.step_shaping, name="step_shaping"),
    path(f"{STEP}number/", views.step_number, name="step_number"),
    path(f"{STEP}draft/", step_views.step_draft, name="step_draft"),
    path(f"{STEP}draft/drop/", step_views.step_draft_drop, name="step_draft_drop"),
    path(f"{STEP}delete/", views.step_delete, name="step_delete"),
    path(f"{STEP}up/", views.step_up, name="step_up"),
    path(f"{STEP}down/", views.step_down, name="step_down"),
]
