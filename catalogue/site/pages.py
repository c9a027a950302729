"""Addresses of the pages of the whole studio."""

from django.urls import path

from catalogue.site.views import entrance, home, people, studio

urlpatterns = [
    path("", home.home, name="home"),
    path("setup/<str:key>/", entrance.setup, name="setup"),
    path("invitation/<str:key>/", entrance.invitation, name="invitation"),
    path("studio/people/", people.people, name="people"),
    path("studio/people/invite/", people.people_invite, name="people_invite"),
    path("studio/people/<int:pk>/withdraw/", people.person_withdraw, name="person_withdraw"),
    path("studio/people/<int:pk>/publishing/", people.person_publishing, name="person_publishing"),
    path("studio/invitations/<int:pk>/withdraw/", people.invitation_withdraw, name="invitation_withdraw"),
    path("studio/settings/", studio.studio_settings, name="studio_settings"),
    path("studio/mails/", studio.mails, name="mails"),
    path("studio/mails/again/", studio.letters_again, name="letters_again"),
    path("studio/mails/letters/<int:pk>/again/", studio.letter_again, name="letter_again"),
    path("studio/mails/letters/<int:pk>/delete/", studio.letter_drop, name="letter_drop"),
    path("studio/mails/<slug:name>/", studio.mail, name="mail"),
]
