"""One-time pages by which designers and editors come in."""

from django.contrib.auth import login
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_http_methods

from catalogue.models import Invitation
from catalogue.people import accept_invitation, find_invitation, set_up_studio
from catalogue.site.forms import InvitationForm, SetupForm

_BACKEND = "allauth.account.auth_backends.AuthenticationBackend"


@sensitive_post_parameters()
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def setup(request: HttpRequest, key: str) -> HttpResponse:
    """The first designer makes the studio."""
    invitation = _find(key, is_first=True)
    form = SetupForm(request.POST or None)
    if form.is_valid():
        known = form.cleaned_data
        person = set_up_studio(
            invitation=invitation,
            studio=form.answers(),
            name=known["person_name"],
            email=known["email"],
            password=known["password"],
        )
        login(request, person, backend=_BACKEND)
        return redirect("desk")
    return render(request, "site/setup.html", {"form": form})


@sensitive_post_parameters()
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def invitation(request: HttpRequest, key: str) -> HttpResponse:
    """An invited person gives a name and a password."""
    found = _find(key, is_first=False)
    form = InvitationForm(request.POST or None)
    if form.is_valid():
        person = accept_invitation(
            invitation=found, name=form.cleaned_data["person_name"], password=form.cleaned_data["password"]
        )
        login(request, person, backend=_BACKEND)
        return redirect("desk")
    return render(request, "site/invitation.html", {"form": form, "invitation": found})


def _find(key: str, *, is_first: bool) -> Invitation:
    """The invitation of a key; used, withdrawn and mistyped keys are answered alike."""
    found = find_invitation(key=key, is_first=is_first)
    if found is None:
        raise Http404
    return found
