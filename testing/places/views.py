"""The offer of a place, reached by the key in its mail."""

from collections.abc import Sequence
from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse, QueryDict
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.roles import is_on_desk
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from testing.asked.figures import call_figures
from testing.calls.consent import agreement_text
from testing.calls.glances import agreement_glance
from testing.mails.codes import send_code
from testing.models import Placement
from testing.places.dropouts import decline_offer
from testing.places.forms import TakePlaceForm
from testing.places.places import PlaceRefused, accept_offer, offer_of_key


@require_safe
def offer(request: HttpRequest, key: str) -> HttpResponse:
    """What is offered and agreed; looking at it consumes nothing."""
    placement = offer_of_key(key)
    return _offer_page(request, placement, key) if placement else _closed(request)


@require_POST
def offer_accept(request: HttpRequest, key: str) -> HttpResponse:
    """Take the place: the account is made and a code to sign in is sent to its address."""
    placement = offer_of_key(key)
    if placement is None:
        return _closed(request)
    form = _take_form(placement, request.POST)
    if not form.is_valid():
        return _offer_page(request, placement, key, form=form)
    try:
        person = accept_offer(placement=placement, seen=sent_glance(request), options=form.options())
    except Moved as moved:
        return _moved(request, key, moved)
    except PlaceRefused as refused:
        return render(request, "testing/offer_refused.html", {"says": str(refused)})
    if request.user == person:
        return redirect("making", pk=placement.pk)
    logout(request)
    if is_on_desk(person):
        return redirect("account_login")
    send_code(request, person)
    messages.success(request, "You have the place. Sign in with the code in your e-mail.")
    onward = urlencode({"next": reverse("making", args=[placement.pk])})
    return redirect(f"{reverse('account_confirm_login_code')}?{onward}")


@require_POST
def offer_decline(request: HttpRequest, key: str) -> HttpResponse:
    """Give the place back."""
    placement = offer_of_key(key)
    if placement is None:
        return _closed(request)
    try:
        is_declined = decline_offer(placement=placement, seen=sent_glance(request))
    except Moved as moved:
        return _moved(request, key, moved)
    if not is_declined:
        return _closed(request)
    return render(request, "testing/offer_declined.html", {"call": placement.call})


def _offer_page(
    request: HttpRequest,
    placement: Placement,
    key: str,
    moved: Sequence[EntryChange] = (),
    form: TakePlaceForm | None = None,
) -> HttpResponse:
    """An offer with what is agreed to."""
    page = {
        "placement": placement,
        "call": placement.call,
        "figures": call_figures(placement.call),
        "needs": call_figures(placement.call).yarn_needs_of(placement.size),
        "agreement": agreement_text(placement.call, placement.size),
        "form": form or _take_form(placement),
        "key": key,
        "seen": written_glance(agreement_glance(placement)),
        "moved": moved,
    }
    return render(request, "testing/offer.html", page, status=409 if moved else 200)


def _take_form(placement: Placement, sent: QueryDict | None = None) -> TakePlaceForm:
    """The options of the pattern, to choose together with the place."""
    return TakePlaceForm(sent, offered=call_figures(placement.call).pattern.options)


def _moved(request: HttpRequest, key: str, moved: Moved) -> HttpResponse:
    """The offer as it stands, and what changed since it was looked at."""
    placement = offer_of_key(key)
    return _offer_page(request, placement, key, moved.entries) if placement else _closed(request)


def _closed(request: HttpRequest) -> HttpResponse:
    """An altered key, an answered and a lapsed offer get the same answer."""
    return render(request, "testing/offer_closed.html", status=404)
