"""From a verdict to what mends it; deciding how doubtful entries are to be read."""

from collections.abc import Callable
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.edits import StaleRevision
from catalogue.studio.requests import form_page
from catalogue.studio.roles import designer_required, studio_required
from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Seen
from grading.core.pattern.file import read_pattern
from grading.grid.changed_rows import changed_rows
from testing.access.lengths import length_in
from testing.access.requests import SignedInRequest, call_or_404, sent
from testing.asked.figures import call_figures
from testing.assessment.assessing import standing_found
from testing.assessment.decisions import NotDoubtful, open_again, settle_as_meant, settle_as_typed
from testing.models import Entry, TestCall
from testing.verdicts.corrections import correct_from_verdict, verdict_glance
from testing.verdicts.errata_views import erratum_page, is_filed
from testing.verdicts.forms import CorrectionForm, MendForm
from testing.verdicts.judging import judge_call
from testing.verdicts.mends import Mending, NoMend, apply_mending, mending_of, moved_steps
from testing.verdicts.prefills import mend_prefill, spots_of_measurement, verdict_prefill
from testing.verdicts.shown_verdicts import ShownVerdict, show_verdicts


@require_safe
def how_assessed(request: HttpRequest) -> HttpResponse:
    """How results are judged, in words and formulas."""
    return render(request, "testing/how_assessed.html")


@require_POST
@designer_required
def entry_right(request: SignedInRequest, slug: str, pk: int, result: int, name: str) -> HttpResponse:
    """A doubtful entry is right as it stands."""
    return _settle(request, settle_as_typed, call_or_404(request, slug, pk), result, name)


@require_POST
@designer_required
def entry_means(request: SignedInRequest, slug: str, pk: int, result: int, name: str) -> HttpResponse:
    """A doubtful entry means what it looks like."""
    return _settle(request, settle_as_meant, call_or_404(request, slug, pk), result, name)


@require_POST
@designer_required
def entry_open(request: SignedInRequest, slug: str, pk: int, result: int, name: str) -> HttpResponse:
    """Take a decision about an entry back."""
    call = call_or_404(request, slug, pk)
    open_again(call=call, entry=_entry_or_404(call, result, name, request.POST.get("part", "")))
    messages.success(request, "Taken back: the entry counts as sent again.")
    return redirect("call_results", slug=slug, pk=pk)


@require_safe
@studio_required
def verdict_mend(request: HttpRequest, slug: str, pk: int, name: str, value: str) -> HttpResponse:
    """The new counts of a value that would mend a measurement, and what else they move."""
    call = call_or_404(request, slug, pk)
    mending = _mending_or_404(call, name, value)
    return render(request, "testing/mend.html", _mend_page(request, call, mending))


@require_POST
@studio_required
def verdict_apply(request: SignedInRequest, slug: str, pk: int, name: str, value: str) -> HttpResponse:
    """Write the new counts into the sheet."""
    call = call_or_404(request, slug, pk)
    form = MendForm(request.POST)
    mending = _mending_or_404(call, name, value, keeps_length=not form["counts_alone"].value())
    if mending.missed:
        messages.error(request, "Nothing was written: these counts do not bring every size to its plan.")
    if not form.is_valid() or mending.missed:
        return redirect("verdict_mend", slug=slug, pk=pk, name=name, value=value)
    try:
        revision = form.cleaned_data["revision"]
        difference = apply_mending(pattern=call.pattern, revision=revision, mending=mending, by=request.user)
    except StaleRevision as stale:
        messages.error(request, str(stale))
        return render(request, "testing/mend.html", _mend_page(request, call, mending), status=409)
    messages.success(request, f"Step 1 is done. {difference.sentence}")
    return redirect("verdict_mend", slug=slug, pk=pk, name=name, value=value)


@form_page
@studio_required
def verdict_erratum(request: HttpRequest, slug: str, pk: int, name: str) -> HttpResponse:
    """A verdict becomes an erratum."""
    call = call_or_404(request, slug, pk)
    sentence, form, seen = _verdict_form(request, call, name)
    file, moved = partial(correct_from_verdict, call=call, name=name), list[EntryChange]()
    if request.method == "POST" and form.is_valid() and is_filed(request, form, file, moved):
        return redirect("call_results", slug=slug, pk=pk)
    if moved:
        call = call_or_404(request, slug, pk)
        sentence, form, seen = _verdict_form(request, call, name)
    return erratum_page(request, call, form, sentence, seen, moved)


def _verdict_form(request: HttpRequest, call: TestCall, name: str) -> tuple[str, CorrectionForm, Seen]:
    """A verdict in words, its form, and what is seen there."""
    found, figures = standing_found(call), call_figures(call)
    verdict = _verdict_or_404(request, call, found, name)
    prefill = _prefill(request, call, verdict, found)
    places, sizes = spots_of_measurement(figures, name), figures.pattern.sizes
    form = CorrectionForm(sent(request), places=places, sizes=sizes, version=call.version, initial=prefill)
    said = f"{verdict.sentence} {verdict.cause}".strip()
    return said, form, verdict_glance(call, found["measurements"][name])


def _settle(
    request: SignedInRequest, settle: Callable[..., None], call: TestCall, result: int, name: str
) -> HttpResponse:
    """Decide about the entry that was looked at."""
    entry = _entry_or_404(call, result, name, request.POST.get("part", ""))
    try:
        settle(call=call, entry=entry, by=request.user, seen=float(request.POST.get("seen", "")))
    except (NotDoubtful, ValueError):
        says = "This entry was changed, or is no longer in doubt, so nothing was decided: look at it again."
        messages.warning(request, says)
    return redirect("call_results", slug=call.pattern.slug, pk=call.pk)


def _prefill(
    request: HttpRequest, call: TestCall, verdict: ShownVerdict, found: dict[str, Any]
) -> dict[str, Any]:
    """The verdict; with the counts that would mend it where the address names their value."""
    value = request.GET.get("counts", "")
    if not value:
        return verdict_prefill(verdict, found["measurements"][verdict.name]["suspects"], call.version)
    mending = _mending_or_404(call, verdict.name, value)
    return mend_prefill(verdict, mending, _label(mending, value))


def _label(mending: Mending, name: str) -> str:
    """What the sheet calls a value."""
    return next(value.label for value in mending.figures.pattern.values if value.name == name)


def _entry_or_404(call: TestCall, result: int, name: str, part: str) -> Entry:
    """A measurement or a gauge of this call."""
    found = get_object_or_404(call.results, pk=result)
    return get_object_or_404(found.entries, part=part if part == "gauge" else "measured", name=name)


def _verdict_or_404(request: HttpRequest, call: TestCall, found: dict[str, Any], name: str) -> ShownVerdict:
    """The verdict on a measurement."""
    for shown in show_verdicts(
        call, found, judge_call(call, found), getattr(request.user, "units", "cm")
    ).verdicts:
        if shown.name == name:
            return shown
    raise Http404


def _mending_or_404(call: TestCall, name: str, value: str, *, keeps_length: bool = True) -> Mending:
    """The mend of a measurement by a value, where there is one."""
    found = standing_found(call)
    if name not in found["measurements"]:
        raise Http404
    try:
        return mending_of(call=call, found=found, measurement=name, value=value, keeps_length=keeps_length)
    except NoMend:
        raise Http404 from None


def _alone_words(mending: Mending, units: str) -> str:
    """What the counts alone would print, and what makers get."""
    if not mending.lengths:
        return ""
    label = _label(mending, mending.measurement)
    size, printed, got = mending.lengths[0]
    return (
        f"{label} would then print {length_in(printed, units)} in size {size}; makers get about "
        f"{length_in(got, units)}."
    )


def _mend_page(request: HttpRequest, call: TestCall, mending: Mending) -> dict[str, Any]:
    """What the page of a mend prints."""
    call.pattern.sheet.refresh_from_db(fields=["revision"])
    then = read_pattern(mending.document)
    lines = {value.name: (value.label, value.kind) for value in then.values}
    sizes, asked = list(mending.figures.pattern.sizes), request.GET.get("size", "")
    size = asked if asked in sizes else next(iter(mending.sizes), sizes[0])
    units = getattr(request.user, "units", "cm")
    return {
        "pattern": call.pattern,
        "tab": "calls",
        "call": call,
        "sizes": sizes,
        "size": size,
        "steps": moved_steps(mending, units, size),
        "mending": mending,
        "label": _label(mending, mending.mend.value),
        "measured_label": _label(mending, mending.measurement),
        "changed": changed_rows(mending.difference.values, lines, units),
        "lengths": [
            (size, length_in(printed, units), length_in(got, units)) for size, printed, got in mending.lengths
        ],
        "missed": [
            (size, length_in(planned, units), length_in(got, units)) for size, planned, got in mending.missed
        ],
        "form": MendForm(
            initial={"revision": call.pattern.sheet.revision}, warning=_alone_words(mending, units)
        ),
    }
