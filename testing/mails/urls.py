"""Addresses of mails."""

from django.urls import path

from testing.mails import views

urlpatterns = [
    path("studio/mail-texts/", views.mail_texts, name="mail_texts"),
    path("studio/mail-texts/<slug:kind>/", views.mail_text, name="mail_text"),
    path("studio/mail-texts/<slug:kind>/preview/", views.mail_text_preview, name="mail_text_preview"),
]
