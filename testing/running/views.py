"""The studio's pages of its calls: list, new, one call, opening, closing, dates, version."""

from collections.abc import Callable, Sequence
from typing import Any, cast

from django.contrib import messages
from django.db.models import Count, Q
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.patterns import patterns_for
from catalogue.models import Person
from catalogue.studio.glance_forms import sent_glance
from catalogue.studio.requests import form_page
from catalogue.studio.roles import designer_required, studio_required, whole_studio_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Moved, Seen, written_glance
from testing.access.long_lists import page_of
from testing.access.requests import call_or_404, sent
from testing.access.selectors import applications_of, studio_calls, told_of_the_end
from testing.asked.figures import is_behind_draft, pattern_figures, version_figures
from testing.calls.calls import (
    CallRefused,
    change_call,
    close_call,
    create_call,
    end_call,
    extend_call,
    glance_of_call,
    hand_out_version,
    latest_test_version,
    open_call,
    owed_to,
)
from testing.calls.consent import consents_of, written_day
from testing.calls.glances import dates_glance, ending_glance
from testing.calls.schedule import middle_if_far
from testing.models import Application, TestCall
from testing.running.call_exports import call_csv, call_json
from testing.running.forms import CallForm, ScheduleForm, form_of_call
from testing.running.overview import overview_of
from testing.verdicts.results_export import results_document


@require_safe
@studio_required
def calls(request: HttpRequest, slug: str) -> HttpResponse:
    """The calls of a pattern."""
    pattern = get_object_or_404(patterns_for(request.user), slug=slug)
    taken = Q(placements__accepted_at__isnull=False, placements__ended_at=None)
    listed = studio_calls(slug).annotate(
        applied=Count("applications", distinct=True),
        makers=Count("placements", filter=taken, distinct=True),
    )
    return render(request, "testing/calls.html", {"pattern": pattern, "tab": "calls", "calls": listed})


@require_safe
@studio_required
def calls_now(request: HttpRequest, slug: str) -> HttpResponse:
    """Straight to the results of the only call, or to the call before there are any; else to the list."""
    get_object_or_404(patterns_for(request.user), slug=slug)
    found = studio_calls(slug).annotate(sent=Count("results", distinct=True))[:2]
    if len(found) != 1:
        return redirect("calls", slug=slug)
    return redirect("call_results" if found[0].sent else "call", slug=slug, pk=found[0].pk)


@form_page
@designer_required
def call_new(request: HttpRequest, slug: str) -> HttpResponse:
    """Write a new call."""
    pattern = get_object_or_404(patterns_for(request.user), slug=slug)
    version = latest_test_version(pattern)
    figures = version_figures(version) if version else pattern_figures(pattern)
    form = CallForm(sent(request), figures=figures, today=timezone.localdate())
    if request.method == "POST" and not form.only_shown and form.is_valid():
        call = create_call(
            pattern=pattern, terms=form.terms(), schedule=form.schedule(), quotas=form.quotas()
        )
        return redirect("call", slug=slug, pk=call.pk)
    page = {
        "pattern": pattern,
        "tab": "calls",
        "form": form,
        "figures": figures,
        "moved": [],
        "version": version,
        "is_behind": bool(version and is_behind_draft(version)),
    }
    return render(request, "testing/call_new.html", page)


@form_page
@designer_required
def call_change(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Change a call that is not open yet."""
    found = call_or_404(request, slug, pk)
    version = found.version or latest_test_version(found.pattern)
    figures = version_figures(version) if version else pattern_figures(found.pattern)
    form = CallForm(
        sent(request), figures=figures, today=timezone.localdate(), initial=form_of_call(found, figures)
    )
    moved: list[EntryChange] = []
    is_sent = request.method == "POST" and not form.only_shown
    if is_sent and form.is_valid() and _changed(found, form, moved):
        return redirect("call", slug=slug, pk=pk)
    _carry(form, found, moved, glance_of_call)
    page = {
        "pattern": found.pattern,
        "tab": "calls",
        "form": form,
        "figures": figures,
        "call": found,
        "moved": moved,
        "version": version,
        "is_behind": bool(version and is_behind_draft(version)),
    }
    return render(request, "testing/call_new.html", page, status=409 if moved else 200)


@require_safe
@studio_required
def call(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """One call: places by size, applications, progress, what is late."""
    return call_page(request, call_or_404(request, slug, pk))


def call_page(request: HttpRequest, found: TestCall, moved: Sequence[EntryChange] = ()) -> HttpResponse:
    """A call with what its buttons carry of what is seen."""
    page = {
        "pattern": found.pattern,
        "tab": "calls",
        "call": found,
        "overview": overview_of(
            found, timezone.localdate(), request.GET.get("page", ""), cast("Person", request.user).units
        ),
        "call_link": request.build_absolute_uri(reverse("call_page", args=[found.slug])),
        "opening": written_glance(glance_of_call(found)),
        "moved": moved,
    }
    return render(request, "testing/call.html", page, status=409 if moved else 200)


@require_POST
@designer_required
def call_open(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Let people apply."""
    found = call_or_404(request, slug, pk)
    try:
        open_call(call=found, seen=sent_glance(request))
    except Moved as moved:
        return call_page(request, call_or_404(request, slug, pk), moved.entries)
    except CallRefused as refused:
        messages.error(request, str(refused))
    return redirect("call", slug=slug, pk=pk)


@require_POST
@designer_required
def call_close(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Take no more applications."""
    close_call(call=call_or_404(request, slug, pk))
    messages.success(request, "The call takes no more applications.")
    return redirect("call", slug=slug, pk=pk)


@form_page
@designer_required
def call_extend(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Give the call other dates."""
    found = call_or_404(request, slug, pk)
    form, midway = ScheduleForm(sent(request), initial=vars(found)), found.midway_on
    moved: list[EntryChange] = []
    if request.method == "POST" and form.is_valid() and _extended(found, form, moved):
        if form.has_moved_midway:
            day = written_day(form.schedule().midway_on)
            says = f"Midway moved with the other dates, to {day}."
            before = f"To keep {written_day(midway)}, change the dates once more and type it at Midway."
            messages.success(request, f"{says} {before}")
        if middle := middle_if_far(form.schedule()):
            says = f"Midway is far from the middle between start and finish, {written_day(middle)}."
            messages.warning(request, f"{says} Look whether it should move too.")
        return redirect("call", slug=slug, pk=pk)
    _carry(form, found, moved, dates_glance)
    page = {"pattern": found.pattern, "tab": "calls", "form": form, "call": found, "moved": moved}
    return render(request, "testing/call_dates.html", page, status=409 if moved else 200)


@require_POST
@designer_required
def call_version(request: HttpRequest, slug: str, pk: int, number: str) -> HttpResponse:
    """Hand out a newer test version."""
    found = call_or_404(request, slug, pk)
    known = {version.number: version for version in found.pattern.versions.all()}
    try:
        hand_out_version(call=found, version=known.get(number))
    except CallRefused as refused:
        messages.error(request, str(refused))
    return redirect("call", slug=slug, pk=pk)


@form_page
@designer_required
def call_end(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """End the call, after who is told and what stays was shown."""
    found, moved = call_or_404(request, slug, pk), list[EntryChange]()
    if request.method == "POST" and _ended(request, found, moved):
        return redirect("call", slug=slug, pk=pk)
    testers = told_of_the_end(found).exclude(state__in=Application.PROPOSED)
    page = {
        "pattern": found.pattern,
        "tab": "calls",
        "call": found,
        "testers": testers,
        "waiting": told_of_the_end(found).filter(state__in=Application.PROPOSED).count(),
        "owed": owed_to(found),
        "seen": written_glance(ending_glance(found)),
        "moved": moved,
    }
    return render(request, "testing/call_end.html", page, status=409 if moved else 200)


@require_safe
@whole_studio_required
def call_file(request: HttpRequest, slug: str, pk: int, form: str) -> HttpResponse:
    """The call as a file, CSV or JSON, or its results as a results file."""
    found = call_or_404(request, slug, pk)
    kinds = {"json": call_json, "results": results_document}
    if form == "csv":
        answer = HttpResponse(call_csv(found), content_type="text/csv; charset=utf-8")
    elif form in kinds:
        answer = JsonResponse(kinds[form](found), json_dumps_params={"ensure_ascii": False, "indent": 1})
    else:
        raise Http404
    name = f"{found.slug}-results.json" if form == "results" else f"{found.slug}-call.{form}"
    answer["Content-Disposition"] = f'attachment; filename="{name}"'
    answer["Cache-Control"] = "private, no-store"
    return answer


@require_safe
@designer_required
def call_consents(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Who agreed to what, and when."""
    found = call_or_404(request, slug, pk)
    people = page_of(applications_of(found), request.GET.get("page", ""))
    page = {"pattern": found.pattern, "tab": "calls", "call": found, "people": people}
    return render(request, "testing/call_consents.html", {**page, "consents": consents_of(people)})


def _ended(request: HttpRequest, call: TestCall, moved: list[EntryChange]) -> bool:
    """End the call, or say why not; who is further than was seen is listed."""
    try:
        end_call(call=call, seen=sent_glance(request))
    except Moved as other:
        moved += other.entries
        return False
    except CallRefused as refused:
        messages.error(request, str(refused))
        return True
    messages.success(request, "The call has ended, and everybody in it gets an e-mail.")
    return True


def _carry(
    form: ScheduleForm, call: TestCall, moved: list[EntryChange], glance: Callable[[TestCall], Seen]
) -> None:
    """Carry what is seen now; what was typed wrongly still belongs to what was seen before."""
    if moved or not form.is_bound:
        call.refresh_from_db()
        form.carry(written_glance(glance(call)))


def _changed(call: TestCall, form: CallForm, moved: list[EntryChange]) -> bool:
    """Change the call; a refusal is told at the form, and what changed since it was opened is listed."""
    typed: dict[str, Any] = {"terms": form.terms(), "schedule": form.schedule(), "quotas": form.quotas()}
    try:
        change_call(call=call, seen=form.cleaned_data["seen"], **typed)
    except Moved as other:
        moved += other.entries
        return False
    except CallRefused as refused:
        form.add_error(None, str(refused))
        return False
    return True


def _extended(call: TestCall, form: ScheduleForm, moved: list[EntryChange]) -> bool:
    """Move the dates; a refusal is told at the form, and what changed since it was opened is listed."""
    try:
        extend_call(call=call, schedule=form.schedule(), seen=form.cleaned_data["seen"], **form.days())
    except Moved as other:
        moved += other.entries
        return False
    except CallRefused as refused:
        form.add_error("finish_by", str(refused))
        return False
    return True
