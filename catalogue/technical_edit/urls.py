"""Addresses of technical edit."""

from django.urls import path

from catalogue.technical_edit import editor_views, views

urlpatterns = [
    path("desk/<slug:slug>/editors/", editor_views.pattern_editors, name="pattern_editors"),
    path(
        "desk/<slug:slug>/editors/<int:pk>/take/",
        editor_views.pattern_editor_take,
        name="pattern_editor_take",
    ),
    path(
        "desk/<slug:slug>/editors/invited/<int:pk>/withdraw/",
        editor_views.pattern_invitation_withdraw,
        name="pattern_invitation_withdraw",
    ),
    path("desk/<slug:slug>/technical-edit/ask-signature/", editor_views.signature_ask, name="signature_ask"),
    path(
        "desk/<slug:slug>/technical-edit/ask-signature/<int:pk>/withdraw/",
        editor_views.signature_withdraw,
        name="signature_withdraw",
    ),
    path("desk/<slug:slug>/technical-edit/", views.technical_edit, name="technical_edit"),
    path("desk/<slug:slug>/technical-edit/sign/", views.edit_sign_off, name="edit_sign_off"),
    path("desk/<slug:slug>/technical-edit/withdraw/", views.edit_withdraw, name="edit_withdraw"),
    path("desk/<slug:slug>/technical-edit/read/", views.edit_read, name="edit_read"),
    path("desk/<slug:slug>/technical-edit/<int:pk>/", views.query_answer, name="query_answer"),
    path("desk/<slug:slug>/technical-edit/<int:pk>/settle/", views.query_settle, name="query_settle"),
]
