"""One question at a time: gauge, finished measurements, yarn, hours, counts."""

from typing import Any
from urllib.parse import urlencode

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalogue.studio.requests import form_page
from catalogue.studio.roles import signed_in_required
from catalogue.versions.glances import Moved, written_glance
from grading.core.pattern.pattern import ValueEntry
from testing.access.requests import SignedInRequest, asked_units, own_place_or_404, question_or_404, sent
from testing.asked.figures import placement_figures
from testing.models import Placement
from testing.results.answers import (
    answer_of,
    entry_of,
    gauge_advice_of,
    gauge_again,
    gauge_doubt_of,
    is_measured,
    length_again,
    measured_before,
)
from testing.results.counted_rows import counted_rows
from testing.results.entry_glances import Asked
from testing.results.forms import (
    CountedForm,
    GaugeForm,
    HoursForm,
    MeasuredForm,
    YarnUsedForm,
)
from testing.results.progress import next_after, tester_progress
from testing.results.question_forms import question_helper
from testing.results.results import (
    confirm_entry,
)
from testing.results.row_counts import counts_glance, save_count
from testing.results.saving import as_it_stands, is_part_kept, is_saved, shown_before


@form_page
@signed_in_required
def making_gauge(request: SignedInRequest, pk: int, fabric: str) -> HttpResponse:
    """Gauge of one fabric."""
    placement = own_place_or_404(request, pk)
    figures = placement_figures(placement)
    asked, craft = question_or_404(placement, figures.fabrics, fabric), figures.pattern.craft
    before = entry_of(placement, "gauge", fabric)
    initial = gauge_again(before, request.user.units)
    form = GaugeForm(sent(request), units=asked_units(request), fabric=asked, initial=initial)
    question = Asked("gauge", fabric)
    if request.method == "POST" and form.is_valid() and is_saved(placement, form, question):
        fresh = own_place_or_404(request, pk)
        if gauge_doubt_of(fresh, asked, request.user.units) is not None:
            return redirect(request.path)
        if advice := gauge_advice_of(fresh, craft, asked, request.user.units):
            tell = messages.info if is_measured(fresh) else messages.warning
            tell(request, f"{asked.label}: {advice}")
        return _go_on(request, placement)
    doubt = None if form.is_bound else gauge_doubt_of(placement, asked, request.user.units)
    advice = "" if form.is_bound else gauge_advice_of(placement, craft, asked, request.user.units)
    if doubt is not None:
        form.helper = question_helper("Send", is_second=True)  # the one below comes first
    shown = {"fabric": asked, "doubt": doubt, "advice": advice, "gauge_word": figures.gauge_word}
    is_made = is_measured(placement)
    return question_page(
        request, placement, "testing/ask_gauge.html", form, question, is_made=is_made, **shown
    )


@require_POST
@signed_in_required
def making_gauge_confirm(request: SignedInRequest, pk: int, fabric: str) -> HttpResponse:
    """The tester looked again: the gauge is right as it is."""
    placement = own_place_or_404(request, pk)
    question_or_404(placement, placement_figures(placement).fabrics, fabric)
    confirm_entry(placement=placement, part="gauge", name=fabric)
    return _go_on(request, placement, reverse("making_gauge", args=[pk, fabric]))


@form_page
@signed_in_required
def making_measured(request: SignedInRequest, pk: int, name: str) -> HttpResponse:
    """One finished measurement; what the pattern expects is shown once it was entered."""
    placement = own_place_or_404(request, pk)
    figures = placement_figures(placement)
    value = question_or_404(placement, figures.measurements, name)
    before = entry_of(placement, "measured", name)
    form = MeasuredForm(
        sent(request),
        value=value,
        units=asked_units(request),
        initial=length_again(before, request.user.units),
    )
    question = Asked("measured", name)
    if request.method == "POST" and form.is_valid() and is_saved(placement, form, question):
        return _after_measuring(request, pk, value)
    answer = answer_of(placement, figures, value) if before and request.method != "POST" else None
    if answer and answer.is_doubted:
        form.helper = question_helper("Send", is_second=True)
    shown = {
        "value": value,
        "how": figures.words(value.measured.how, request.user.units) if value.measured else "",
        "picture": figures.picture(value, placement.size),
        "answer": answer,
    }
    return question_page(request, placement, "testing/ask_measured.html", form, question, **shown)


@require_POST
@signed_in_required
def making_confirm(request: SignedInRequest, pk: int, name: str) -> HttpResponse:
    """The tester looked again: it is right as it is."""
    placement = own_place_or_404(request, pk)
    question_or_404(placement, placement_figures(placement).measurements, name)
    confirm_entry(placement=placement, part="measured", name=name)
    return redirect("making_measured", pk=pk, name=name)


@form_page
@signed_in_required
def making_yarn(request: SignedInRequest, pk: int) -> HttpResponse:
    """Yarn used, by colour."""
    placement = own_place_or_404(request, pk)
    yarns = placement_figures(placement).yarns
    initial = {
        f"colour_{i}": _typed(placement, "yarn", yarn.colour, "weight") for i, yarn in enumerate(yarns)
    }
    form, question = YarnUsedForm(sent(request), yarns=yarns, initial=initial), Asked("yarn")
    if request.method == "POST" and form.is_valid() and is_part_kept(placement, form, question):
        return _go_on(request, placement)
    return question_page(request, placement, "testing/ask_yarn.html", form, question)


@form_page
@signed_in_required
def making_hours(request: SignedInRequest, pk: int) -> HttpResponse:
    """Hours of work."""
    placement = own_place_or_404(request, pk)
    initial = {"hours": _typed(placement, "hours", "", "hours")}
    form, question = HoursForm(sent(request), initial=initial), Asked("hours", "")
    if request.method == "POST" and form.is_valid() and is_saved(placement, form, question):
        return _go_on(request, placement)
    return question_page(request, placement, "testing/ask_hours.html", form, question)


@form_page
@signed_in_required
def making_counted(request: SignedInRequest, pk: int) -> HttpResponse:
    """What the maker has after a row; where the account says otherwise it becomes a remark."""
    placement = own_place_or_404(request, pk)
    rows = counted_rows(placement_figures(placement), placement.size)
    seen, question = written_glance(counts_glance(placement)), Asked("counted")
    at = [row.name for row in rows if request.GET.get("step") in (row.name, row.spot)]
    form = CountedForm(sent(request), rows=rows, initial={"seen": seen, "row": next(iter(at), "")})
    if request.method == "POST" and form.is_valid():
        if onward := _after_counting(request, placement, form, question):
            return redirect(onward)
        form = CountedForm({**request.POST.dict(), "seen": seen}, rows=rows)
    return question_page(request, placement, "testing/ask_counted.html", form, question)


def _after_counting(
    request: SignedInRequest, placement: Placement, form: CountedForm, asked: Asked
) -> str | None:
    """Keep a count, say what the pattern comes to, and return the next address.

    That is the same row again where it comes to another number; None where another count came in meanwhile,
    which is listed.
    """
    given, row = form.cleaned_data, form.counted
    try:
        agrees = save_count(
            placement=placement, row=row, stitches=given["stitches"], seen=given["seen"] or None
        )
    except Moved as other:
        asked.moved += other.entries
        return None
    if agrees is False:
        says = f"The pattern comes to {row.worked} here: please count this row again, below."
        messages.warning(
            request, f"{says} Your count is sent, and the studio has been told: you need not write a remark."
        )
        return f"{request.path}?{urlencode({'step': given['row']})}"
    says = f"Sent: {row.worked} is what the pattern comes to here."
    if agrees is None:
        says = "The count is sent. This row can’t be checked here."
    messages.success(request, says)
    return reverse("making", args=[placement.pk])


def _typed(placement: Placement, part: str, name: str, key: str) -> str:
    """What was typed before, so that it can be bettered."""
    entry = entry_of(placement, part, name)
    return str(entry.typed.get(key, "")) if entry else ""


def _after_measuring(request: SignedInRequest, pk: int, value: ValueEntry) -> HttpResponse:
    """What looks like a slip is asked about; else the next question, where what was measured is told."""
    fresh = own_place_or_404(request, pk)
    figures = placement_figures(fresh)
    answer = answer_of(fresh, figures, value)
    if answer and answer.is_doubted:
        return redirect(request.path)
    onward = next_after(tester_progress(fresh, figures), request.path) or reverse("making", args=[pk])
    return redirect(f"{onward}?{urlencode({'after': value.name})}")


def _go_on(request: SignedInRequest, placement: Placement, asked: str = "") -> HttpResponse:
    """After saving: the next thing that is missing, or the overview."""
    messages.success(request, "Sent.")
    fresh = own_place_or_404(request, placement.pk)
    url = next_after(tester_progress(fresh, placement_figures(fresh)), asked or request.path)
    return redirect(url) if url else redirect("making", pk=placement.pk)


def question_page(
    request: SignedInRequest,
    placement: Placement,
    template: str,
    form: forms.Form,
    asked: Asked | None = None,
    **more: Any,
) -> HttpResponse:
    """Show one question with what was sent to it before."""
    placement = as_it_stands(request, placement, form, asked)
    progress = tester_progress(placement, placement_figures(placement))
    page = {"placement": placement, "call": placement.call, "progress": progress, "form": form, **more}
    page |= shown_before(placement, asked) | {"next_url": next_after(progress, request.path)}
    page["is_missing"] = any(thing.url == request.path for thing in progress.missing)
    page["measured"] = measured_before(placement, request.GET.get("after", ""))
    return render(request, template, page, status=409 if page["moved"] else 200)
