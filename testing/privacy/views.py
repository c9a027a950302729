"""What is held about a tester: seen, taken along, erased."""

import logging
from typing import Any

from django.contrib.auth import logout
from django.db.models import Count, QuerySet
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.http import require_POST, require_safe

from catalogue.models import Holder, Person
from catalogue.selling.outsiders import held_about_outsider
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.requests import form_page
from catalogue.studio.roles import signed_in_required
from testing.access.requests import ApplicationGone, SignedInRequest
from testing.access.selectors import own_placements, result_of
from testing.applications.applications import application_of_key, body_in_words, is_erased, may_change
from testing.mails.mails import mails_in_words
from testing.models import Application, Result
from testing.privacy.erasing import erase_application, erase_person, wish_erased
from testing.privacy.forms import UnitsForm
from testing.privacy.privacy import applications_about, data_file, results_about
from testing.privacy.wishes import ask_no_more, choose_units
from testing.results.sent_things import things_sent

logger = logging.getLogger(__name__)


@require_safe
@signed_in_required
def my_data(request: SignedInRequest) -> HttpResponse:
    """What we hold about you."""
    return _my_data_page(request)


@require_safe
@signed_in_required
def my_data_file(request: SignedInRequest) -> HttpResponse:
    """All of it as a file."""
    answer = HttpResponse(data_file(request.user), content_type="application/zip")
    answer["Content-Disposition"] = 'attachment; filename="my-data.zip"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@form_page
@signed_in_required
def my_data_erase(request: SignedInRequest) -> HttpResponse:
    """Erase all of it, once asked; who can't be erased yet stays signed in and is told so."""
    person = request.user
    if request.method != "POST":
        page = {
            "applications": applications_about(person),
            "results": _counted_results(person),
            "places": own_placements(person).prefetch_related(None),
            "given_or_asked": held_about_outsider(person.email),
            "hears_of_corrections": Holder.objects.filter(email__iexact=person.email).exists(),
        }
        return render(request, "testing/erase.html", page)
    key = person.pk  # what the phone keeps bears it
    wish_erased(whom=person)  # should this end in the middle, it is done later
    try:
        erase_person(person=person)
    except FilesOutOfReach as problem:
        logger.error("Erasing on request: %s.", problem.why)  # noqa: TRY400 the sentence says it all
        return _my_data_page(request, status=503)
    logout(request)
    return render(request, "testing/erased.html", {"erased_key": key})


@require_POST
@signed_in_required
def my_units(request: SignedInRequest) -> HttpResponse:
    """Measure in centimetres or inches from now on; from a question it leads back to that."""
    form = UnitsForm(request.POST)
    if form.is_valid():
        choose_units(person=request.user, units=form.cleaned_data["units"])
    back = request.POST.get("back", "")
    is_ours = (
        back.startswith(reverse("my_making"))
        and ".." not in back
        and url_has_allowed_host_and_scheme(back, allowed_hosts=None)
    )
    return redirect(back if is_ours else "my_data")


@require_POST
@signed_in_required
def my_asking(request: SignedInRequest) -> HttpResponse:
    """Not be asked for later calls any more."""
    ask_no_more(person=request.user)
    return redirect("my_data")


@require_safe
def privacy(request: HttpRequest) -> HttpResponse:
    """What the studio holds about testers, in plain words."""
    return render(request, "testing/privacy.html")


def _counted_results(person: Person) -> QuerySet[Result, Any]:
    """The results of a person, each with how much it has."""
    counts = {f"{name}_count": Count(name, distinct=True) for name in ("entries", "remarks", "photos")}
    return results_about(person).annotate(**counts)


def _told_results(person: Person) -> QuerySet[Result, Any]:
    """The same with all that was sent."""
    parts = ("entries", "earlier_entries", "remarks__help", "photos")
    return _counted_results(person).defer(None).prefetch_related(*parts)


def _my_data_page(request: SignedInRequest, status: int = 200) -> HttpResponse:
    """The page, with the wish to be erased where it waits."""
    applications = list(
        applications_about(request.user)
        .select_related("call__pattern__sheet", "call__version")
        .prefetch_related("sent_mails")
    )
    page = {
        "applications": [(one, body_in_words(one), mails_in_words(one)) for one in applications],
        "results": [(result, things_sent(result)) for result in _told_results(request.user)],
        "given_or_asked": held_about_outsider(request.user.email),
        "may_be_asked": any(one.may_ask_again for one in applications),
        "erase_asked_at": request.user.erase_asked_at,
    }
    return render(request, "testing/my_data.html", page, status=status)


@form_page
def application_erase(request: HttpRequest, key: str) -> HttpResponse:
    """Take an application back and erase it, once asked."""
    found = application_of_key(key)
    if found is None:
        raise ApplicationGone if is_erased(key) else Http404
    if request.method != "POST":
        return _erase_page(request, found, key)
    slug, placement = found.call.slug, getattr(found, "placement", None)
    had_figures = placement is not None and result_of(placement) is not None
    wish_erased(whom=found)  # should this end in the middle, it is done later
    try:
        erase_application(application=found)
    except FilesOutOfReach as problem:
        logger.error("Erasing on request: %s.", problem.why)  # noqa: TRY400 the sentence says it all
        return _erase_page(request, found, key, status=503)
    page = {"slug": slug, "had_figures": had_figures}
    return render(request, "testing/application_erased.html", page)


def _erase_page(request: HttpRequest, application: Application, key: str, status: int = 200) -> HttpResponse:
    """What goes and what stays when an application is taken back."""
    placement = getattr(application, "placement", None)
    page = {
        "application": application,
        "key": key,
        "placement": placement if placement and placement.ended_at is None else None,
        "result": result_of(placement) if placement else None,
        "may_change": may_change(application),
    }
    return render(request, "testing/application_erase.html", page, status=status)
