"""Addresses of studio."""

from django.urls import path

from catalogue.studio import entrance_views, people_views, views

urlpatterns = [
    path("setup/<str:key>/", entrance_views.setup, name="setup"),
    path("invitation/<str:key>/", entrance_views.invitation, name="invitation"),
    path("studio/people/", people_views.people, name="people"),
    path("studio/people/invite/", people_views.people_invite, name="people_invite"),
    path("studio/people/<int:pk>/withdraw/", people_views.person_withdraw, name="person_withdraw"),
    path("studio/people/<int:pk>/publishing/", people_views.person_publishing, name="person_publishing"),
    path(
        "studio/invitations/<int:pk>/withdraw/", people_views.invitation_withdraw, name="invitation_withdraw"
    ),
    path("studio/settings/", views.studio_settings, name="studio_settings"),
    path("studio/mails/", views.mails, name="mails"),
    path("studio/mails/again/", views.letters_again, name="letters_again"),
    path("studio/mails/letters/<int:pk>/again/", views.letter_again, name="letter_again"),
    path("studio/mails/letters/<int:pk>/delete/", views.letter_drop, name="letter_drop"),
    path("studio/mails/<slug:name>/", views.mail, name="mail"),
]
