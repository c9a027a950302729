"""What everybody may see of a call, and applying."""

import logging
from collections.abc import Sequence

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from catalogue.models import Studio
from catalogue.studio.limits import refuse_letter
from catalogue.studio.requests import form_page
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, written_glance
from testing.access.requests import sent
from testing.access.selectors import open_calls, public_calls
from testing.applications.applications import (
    ApplicationsClosed,
    application_of_key,
    apply_for_place,
    consent_glance,
    takes_applications,
)
from testing.applications.forms import ApplicationForm
from testing.asked.figures import call_figures
from testing.calls.consent import consent_text
from testing.models import TestCall

logger = logging.getLogger(__name__)


@require_safe
def call_list(request: HttpRequest) -> HttpResponse:
    """The calls that take applications."""
    return render(request, "testing/call_list.html", {"calls": open_calls()})


@require_safe
def call_page(request: HttpRequest, slug: str) -> HttpResponse:
    """What a call says to everybody."""
    call = get_object_or_404(public_calls(), slug=slug)
    page = {"call": call, "figures": call_figures(call), "takes_applications": takes_applications(call)}
    return render(request, "testing/call_page.html", page)


@form_page
def apply(request: HttpRequest, slug: str) -> HttpResponse:
    """Apply for a place; the answer is the same whether the address is known."""
    call = get_object_or_404(public_calls(), slug=slug)
    form = _application_form(request, call)
    status = 200
    if request.method == "POST" and form.is_valid():
        says = refuse_letter(request, form.cleaned_data["email"]) if takes_applications(call) else ""
        if not says:
            return _apply(request, call, form)
        form.add_error(None, says)
        status = 429
    return _apply_page(request, call, form, status=status)


@require_safe
def applied(request: HttpRequest, slug: str) -> HttpResponse:
    """Thanks, and what happens next."""
    call = get_object_or_404(public_calls(), slug=slug)
    return render(request, "testing/applied.html", {"call": call})


@require_safe
def application(request: HttpRequest, key: str) -> HttpResponse:
    """What an applicant without an account has sent, with the way to take it back."""
    found = application_of_key(key)
    if found is None:
        raise Http404
    page = {"application": found, "key": key}
    return render(request, "testing/application.html", page)


def _apply(request: HttpRequest, call: TestCall, form: ApplicationForm) -> HttpResponse:
    """Store the application and lead on; consent to other words than it has now is asked for again."""
    try:
        apply_for_place(call=call, answers=form.answers(), seen=form.cleaned_data["seen"])
    except ApplicationsClosed:
        return redirect("call_page", slug=call.slug)
    except Moved as moved:
        call.refresh_from_db()
        again = _application_form(request, call)
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


def _application_form(request: HttpRequest, call: TestCall) -> ApplicationForm:
    """The form of a call, with the consent in the studio's name."""
    studio = Studio.objects.first()
    units = studio.units if studio else "cm"
    return ApplicationForm(
        sent(request),
        call=call,
        body=call_figures(call).body,
        consent=consent_text(call, studio.name if studio else "The studio"),
        initial={"units": "in" if request.GET.get("units") == "in" else units},
    )
