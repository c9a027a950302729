"""The offer of a place, reached by the key in its mail."""

from django.contrib.auth import logout
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.roles import is_studio
from testing.codes import send_code
from testing.consent import agreement_text
from testing.dropouts import decline_offer
from testing.figures import call_figures
from testing.places import PlaceRefused, accept_offer, offer_of_key


@require_safe
def offer(request: HttpRequest, key: str) -> HttpResponse:
    """What is offered and agreed; looking at it consumes nothing."""
    placement = offer_of_key(key)
    if placement is None:
        return _closed(request)
    page = {
        "placement": placement,
        "call": placement.call,
        "figures": call_figures(placement.call),
        "agreement": agreement_text(placement.call, placement.size),
        "key": key,
    }
    return render(request, "testing/offer.html", page)


@require_POST
def offer_accept(request: HttpRequest, key: str) -> HttpResponse:
    """Take the place: the account is made and a code to sign in is sent to its address."""
    placement = offer_of_key(key)
    if placement is None:
        return _closed(request)
    try:
        person = accept_offer(placement=placement)
    except PlaceRefused as refused:
        return render(request, "testing/offer_refused.html", {"says": str(refused)})
    if request.user == person:
        return redirect("my_making")
    logout(request)
    if is_studio(person):
        return redirect("account_login")
    send_code(request, person)
    return redirect("account_confirm_login_code")


@require_POST
def offer_decline(request: HttpRequest, key: str) -> HttpResponse:
    """Give the place back."""
    placement = offer_of_key(key)
    if placement is None:
        return _closed(request)
    decline_offer(placement=placement)
    return render(request, "testing/offer_declined.html", {"call": placement.call})


def _closed(request: HttpRequest) -> HttpResponse:
    """An altered key, an answered and a lapsed offer get the same answer."""
    return render(request, "testing/offer_closed.html", status=404)
