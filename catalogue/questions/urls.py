"""Addresses of makers' questions."""

from django.urls import path

from catalogue.questions import ask_views, views

QUESTIONS = "desk/<slug:slug>/questions"
QUESTION = f"{QUESTIONS}/<int:pk>"

urlpatterns = [
    path("patterns/<slug:slug>/ask/", ask_views.ask_question, name="ask_question"),
    path(f"{QUESTIONS}/", views.questions, name="questions"),
    path(f"{QUESTIONS}/new/", views.question_new, name="question_new"),
    path(f"{QUESTION}/", views.question, name="question"),
    path(f"{QUESTION}/words/", views.question_words, name="question_words"),
    path(f"{QUESTION}/answer/", views.question_answer, name="question_answer"),
    path(f"{QUESTION}/show/", views.question_show, name="question_show"),
    path(f"{QUESTION}/hide/", views.question_hide, name="question_hide"),
    path(f"{QUESTION}/outcome/", views.question_outcome, name="question_outcome"),
    path(f"{QUESTION}/same/", views.question_same, name="question_same"),
    path(f"{QUESTION}/own/", views.question_own, name="question_own"),
    path(f"{QUESTION}/erase/", views.question_erase, name="question_erase"),
    path(f"{QUESTION}/delete/", views.question_delete, name="question_delete"),
]
