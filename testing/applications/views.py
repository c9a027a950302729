"""What everybody may see of a call, and applying."""

import logging
from collections.abc import Sequence

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, QueryDict
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.models import Studio
from catalogue.studio.limits import refuse_letter
from catalogue.studio.requests import form_page
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from testing.access.requests import ApplicationGone, sent
from testing.access.selectors import open_calls, public_calls
from testing.access.typed import UNIT_NAMES
from testing.applications.applications import (
    ApplicationsClosed,
    ApplicationSettled,
    application_of_key,
    apply_for_place,
    body_in_words,
    change_application,
    consent_glance,
    is_erased,
    may_change,
    takes_applications,
)
from testing.applications.forms import ApplicationChangeForm, ApplicationForm, typed_application
from testing.applications.garments import Garment
from testing.applications.size_tables import SizeTable
from testing.asked.bodies import size_bodies
from testing.asked.figures import call_figures
from testing.calls.consent import consent_text
from testing.models import Application, TestCall

logger = logging.getLogger(__name__)


@require_safe
def call_list(request: HttpRequest) -> HttpResponse:
    """The calls that take applications."""
    return render(request, "testing/call_list.html", {"calls": open_calls()})


@require_safe
def call_page(request: HttpRequest, slug: str) -> HttpResponse:
    """What a call says to everybody."""
    call = get_object_or_404(public_calls(), slug=slug)
    figures, units = call_figures(call), asked_in(request)
    page = {
        "call": call,
        "figures": figures,
        "garment": Garment(figures, units),
        "table": SizeTable(call, size_bodies(call, figures), units),
        "units": units,
        "unit_choices": UNIT_NAMES,
        "takes_applications": takes_applications(call),
    }
    return render(request, "testing/call_page.html", page)


@form_page
def apply(request: HttpRequest, slug: str) -> HttpResponse:
    """Apply for a place; the answer is the same whether the address is known."""
    call = get_object_or_404(public_calls(), slug=slug)
    form = application_form(request, call, data=sent(request))
    status = 200
    if request.method == "POST" and form.is_valid():
        says = refuse_letter(request, form.cleaned_data["email"]) if takes_applications(call) else ""
        if not says:
            return _apply(request, call, form)
        form.add_error(None, says)
        status = 429
    return _apply_page(request, call, form, status=status)


@require_POST
def apply_look(request: HttpRequest, slug: str) -> HttpResponse:
    """Mark the size that fits what was typed so far; nothing is sent or kept."""
    call = get_object_or_404(public_calls(), slug=slug)
    form = application_form(request, call, data=None)
    form.look(request.POST)
    return _apply_page(request, call, form)


@require_safe
def applied(request: HttpRequest, slug: str) -> HttpResponse:
    """Thanks, and what happens next."""
    call = get_object_or_404(public_calls(), slug=slug)
    return render(request, "testing/applied.html", {"call": call})


@require_safe
def application(request: HttpRequest, key: str) -> HttpResponse:
    """All that an applicant without an account has sent, with the ways to change it and to take it back."""
    found = _application_or_404(key)
    body = body_in_words(found)
    page = {"application": found, "key": key, "body": body, "may_change": may_change(found)}
    return render(request, "testing/application.html", page)


@form_page
def application_change(request: HttpRequest, key: str) -> HttpResponse:
    """Change what was sent, until places are given."""
    found = _application_or_404(key)
    form = _change_form(found, key, data=sent(request))
    if request.method == "POST" and form.is_valid():
        try:
            change_application(application=found, answers=form.answers())
        except ApplicationSettled:
            messages.warning(request, "Nothing was changed: places have been given meanwhile.")
        else:
            messages.success(request, "Your changes are saved.")
        return redirect("application", key=key)
    return _change_page(request, found, key, form)


@require_POST
def application_look(request: HttpRequest, key: str) -> HttpResponse:
    """Mark the size that fits what was typed so far; nothing is changed."""
    found = _application_or_404(key)
    form = _change_form(found, key, data=None)
    form.look(request.POST)
    return _change_page(request, found, key, form)


def _application_or_404(key: str) -> Application:
    """The application that a key was made for."""
    found = application_of_key(key)
    if found is None:
        raise ApplicationGone if is_erased(key) else Http404
    return found


def _change_form(application: Application, key: str, *, data: QueryDict | None) -> ApplicationChangeForm:
    """What was sent, to be changed."""
    return ApplicationChangeForm(
        data,
        call=application.call,
        consent=application.consent_text,
        looks_at=reverse("application_look", args=[key]),
        action=reverse("application_change", args=[key]),
        initial=typed_application(application),
    )


def _change_page(
    request: HttpRequest, application: Application, key: str, form: ApplicationChangeForm
) -> HttpResponse:
    """The form of an application, or the sentence that places were given."""
    page = {"application": application, "key": key, "form": form, "may_change": may_change(application)}
    return render(request, "testing/application_change.html", page)


def _apply(request: HttpRequest, call: TestCall, form: ApplicationForm) -> HttpResponse:
    """Store the application and lead on; consent to other words than it has now is asked for again."""
    try:
        apply_for_place(call=call, answers=form.answers(), seen=form.cleaned_data["seen"])
    except ApplicationsClosed:
        return redirect("call_page", slug=call.slug)
    except Moved as moved:
        call.refresh_from_db()
        again = application_form(request, call, data=request.POST)
        again.ask_again()
        return _apply_page(request, call, again, moved.entries, status=409)
    return redirect("applied", slug=call.slug)


def _apply_page(
    request: HttpRequest,
    call: TestCall,
    form: ApplicationForm,
    moved: Sequence[EntryChange] = (),
    status: int = 200,
) -> HttpResponse:
    """The form of a call; what was typed wrongly still belongs to what was seen before."""
    if moved or not form.is_bound:
        form.carry(written_glance(consent_glance(call)))
    page = {"call": call, "form": form, "takes_applications": takes_applications(call), "moved": moved}
    return render(request, "testing/apply.html", page, status=status)


def application_form(request: HttpRequest, call: TestCall, *, data: QueryDict | None) -> ApplicationForm:
    """The form of a call, with the consent in the studio's name."""
    studio = Studio.objects.first()
    return ApplicationForm(
        data,
        call=call,
        consent=consent_text(call, studio.name if studio else "The studio"),
        looks_at=reverse("apply_look", args=[call.slug]),
        action=reverse("apply", args=[call.slug]),
        initial={"units": asked_in(request)},
    )


def asked_in(request: HttpRequest) -> str:
    """The units that a visitor chose, or the studio's."""
    studio = Studio.objects.first()
    asked = request.GET.get("units", "")
    return asked if asked in UNIT_NAMES else studio.units if studio else "cm"
