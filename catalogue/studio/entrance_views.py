"""One-time pages by which designers and editors come in."""

from django.contrib.auth import login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters

from catalogue.models import Person
from catalogue.studio.forms import InvitationForm, SetupForm
from catalogue.studio.known_devices import remember_device
from catalogue.studio.people import (
    InvitationUsed,
    accept_invitation,
    find_invitation,
    set_up_studio,
    was_used,
)
from catalogue.studio.requests import form_page
from catalogue.studio.sign_ins import note_sign_in

_BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@sensitive_post_parameters()
@never_cache
@form_page
def setup(request: HttpRequest, key: str) -> HttpResponse:
    """The first designer makes the studio."""
    found = find_invitation(key=key, is_first=True)
    if found is None:
        return _closed(request, key)
    form = SetupForm(request.POST or None)
    if form.is_valid():
        known = form.cleaned_data
        try:
            person = set_up_studio(
                invitation=found,
                studio=form.answers(),
                name=known["person_name"],
                email=known["email"],
                password=known["password"],
            )
        except InvitationUsed:
            return _used(request)
        return _come_in(request, person)
    return render(request, "site/setup.html", {"form": form})


@sensitive_post_parameters()
@never_cache
@form_page
def invitation(request: HttpRequest, key: str) -> HttpResponse:
    """An invited person gives a name and a password."""
    found = find_invitation(key=key, is_first=False)
    if found is None:
        return _closed(request, key)
    form = InvitationForm(request.POST or None)
    if form.is_valid():
        known = form.cleaned_data
        try:
            person = accept_invitation(
                invitation=found, name=known["person_name"], password=known["password"]
            )
        except InvitationUsed:
            return _used(request)
        return _come_in(request, person)
    return render(request, "site/invitation.html", {"form": form, "invitation": found})


def _come_in(request: HttpRequest, person: Person) -> HttpResponse:
    """Sign somebody in who has just made their account, on a device that is known from now on."""
    login(request, person, backend=_BACKEND)
    note_sign_in(request, person)
    response = redirect("desk")
    remember_device(request, response, person)
    return response


def _closed(request: HttpRequest, key: str) -> HttpResponse:
    """Used, withdrawn and mistyped keys are answered alike, but to a form that was sent twice."""
    if request.method == "POST" and was_used(key=key):
        return _used(request)
    raise Http404


def _used(request: HttpRequest) -> HttpResponse:
    """Somebody came in by this page already: most likely the same person, who pressed the button twice."""
    return render(request, "site/used.html", status=409)
