"""The results of a call, and from a remark or result to an erratum."""

from dataclasses import replace
from functools import partial
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.models import Version
from catalogue.studio.requests import form_page
from catalogue.studio.roles import designer_required, studio_required
from catalogue.versions.changes import EntryChange
from testing.access.requests import SignedInRequest, call_or_404, sent
from testing.access.selectors import remarks_of, results_of
from testing.asked.figures import call_figures, version_figures
from testing.assessment.assessing import standing_found
from testing.models import Remark, Result, TestCall
from testing.results.sent_things import tellings_of
from testing.results.untested import untested_of_call
from testing.verdicts.corrections import (
    correct_from_remark,
    correct_from_result,
    reopen_remark,
    result_glance,
    settle_remark,
)
from testing.verdicts.errata_views import erratum_page, is_filed
from testing.verdicts.fit import fit_table
from testing.verdicts.forms import CorrectionForm
from testing.verdicts.judging import DeviationRow, JudgedCall, judge_call, placed_remarks
from testing.verdicts.mends import also_mended, values_that_mend
from testing.verdicts.prefills import remark_prefill, result_prefill, result_words, spots_of_measurement
from testing.verdicts.reports import report_pdf
from testing.verdicts.sentences import Found, joined
from testing.verdicts.shown_verdicts import Shown, ShownVerdict, show_verdicts


@require_safe
@studio_required
def call_results(request: SignedInRequest, slug: str, pk: int) -> HttpResponse:
    """Verdicts, doubtful entries, picture and table; remarks below."""
    call = call_or_404(request, slug, pk)
    found = standing_found(call)
    units = request.user.units
    judged = judge_call(call, found, units)
    shown = _with_mends(call, found, show_verdicts(call, found, judged, units))
    tellings = tellings_of(call)
    wrote = sum(bool(one.told) for one in tellings)
    page = {
        "pattern": call.pattern,
        "tab": "calls",
        "call": call,
        "judged": judged,
        "shown": shown,
        "in_short": _in_short(judged, shown) if judged.rows else "",
        "fit": fit_table(call),
        "remarks": sorted(placed_remarks(call), key=lambda placed: placed.remark.is_dealt_with),
        "tellings": tellings,
        "wrote": wrote,
        "counted": _counted(judged, found, wrote) if judged.rows else "",
        "untested": untested_of_call(call),
    }
    return render(request, "testing/call_results.html", page)


@require_safe
@studio_required
def call_report(request: SignedInRequest, slug: str, pk: int) -> HttpResponse:
    """The same as a PDF for the studio."""
    call = call_or_404(request, slug, pk)
    content = report_pdf(call=call, found=standing_found(call), units=request.user.units)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="{slug}-results.pdf"'
    return answer


@form_page
@studio_required
def remark_erratum(request: HttpRequest, slug: str, pk: int, remark: int) -> HttpResponse:
    """A remark becomes an erratum."""
    call = call_or_404(request, slug, pk)
    found, form = _remark_form(request, call, remark)
    file, moved = partial(correct_from_remark, remark=found), list[EntryChange]()
    if request.method == "POST" and form.is_valid() and is_filed(request, form, file, moved):
        return redirect("call_results", slug=slug, pk=pk)
    if moved:
        found, form = _remark_form(request, call, remark)
    return erratum_page(request, call, form, f"Remark: {found.text}", result_glance(found.result), moved)


@require_POST
@designer_required
def remark_settle(request: HttpRequest, slug: str, pk: int, remark: int) -> HttpResponse:
    """A remark needs no erratum."""
    found = get_object_or_404(remarks_of(call_or_404(request, slug, pk)), pk=remark)
    if settle_remark(remark=found, seen=request.POST.get("seen", "")):
        messages.success(request, "Kept: this remark needs no erratum.")
    else:
        messages.warning(request, "This remark was changed, so nothing was decided: read it again.")
    return redirect("call_results", slug=slug, pk=pk)


@require_POST
@designer_required
def remark_open(request: HttpRequest, slug: str, pk: int, remark: int) -> HttpResponse:
    """A remark is to be looked at again."""
    reopen_remark(remark=get_object_or_404(remarks_of(call_or_404(request, slug, pk)), pk=remark))
    messages.success(request, "The remark is open again.")
    return redirect("call_results", slug=slug, pk=pk)


@form_page
@studio_required
def result_erratum(request: SignedInRequest, slug: str, pk: int, result: int, name: str) -> HttpResponse:
    """A measured deviation becomes an erratum."""
    call = call_or_404(request, slug, pk)
    row, form = _result_form(request, call, result, name)
    file, moved = partial(correct_from_result, result=row.result, name=name), list[EntryChange]()
    if request.method == "POST" and form.is_valid() and is_filed(request, form, file, moved):
        return redirect("call_results", slug=slug, pk=pk)
    if moved:
        row, form = _result_form(request, call, result, name)
    seen = result_glance(row.result, name)
    return erratum_page(request, call, form, result_words(row, request.user.units), seen, moved)


def _with_mends(call: TestCall, found: Found, shown: Shown) -> Shown:
    """What is wrong with the values whose new counts mend it, worked out in the sheet."""
    verdicts = []
    for verdict in shown.verdicts:
        if verdict.is_wrong and verdict.suspects:
            labels = dict(verdict.suspects)
            mending, others = values_that_mend(
                call=call, found=found, measurement=verdict.name, values=list(labels)
            )
            verdict = replace(
                verdict,
                mended_by=[(value, labels[value]) for value in mending],
                not_mended_by=joined([f"“{labels[value]}”" for value in others], "or"),
            )
        verdicts.append(verdict)
    return replace(shown, verdicts=_with_causes(call, found, verdicts))


def _with_causes(call: TestCall, found: Found, verdicts: list[ShownVerdict]) -> list[ShownVerdict]:
    """Errors that the mend of another one takes away name it, and offer no mend of their own.

    The one that hangs on the fewest counts comes first: it is the cause of those that hang on more.
    """
    wrong = [one for one in verdicts if one.is_wrong and one.suspects]
    follows = dict[str, str]()
    ordered = sorted(wrong, key=lambda one: len(one.suspects))
    made = call_figures(call) if len(wrong) > 1 else None
    for place, cause in enumerate(ordered):
        others = [one.name for one in ordered[place + 1 :] if one.name not in follows]
        if made is None or cause.name in follows or not cause.mended_by or not others:
            continue
        value = cause.mended_by[0][0]
        mended = also_mended(made=made, found=found, measurement=cause.name, value=value, others=others)
        follows |= dict.fromkeys(mended, cause.label)
    return [
        replace(one, mended_by=[], not_mended_by="", follows_from=follows[one.name])
        if one.name in follows
        else one
        for one in verdicts
    ]


def _in_short(judged: JudgedCall, shown: Shown) -> str:
    """All results in two sentences: how many garments, and what is wrong first of all."""
    count = len({row.result.pk for row in judged.rows})
    garments = "1 garment was measured." if count == 1 else f"{count} garments were measured."
    if not shown.wrong:
        return f"{garments} No measurement has a clear error."
    more = [one.label for one in shown.wrong[1:]]
    rest = f", and {joined(more)} {'are' if len(more) > 1 else 'is'} off too" if more else ""
    return f"{garments} {shown.wrong[0].says}{rest}."


def _counted(judged: JudgedCall, found: Found, wrote: int) -> str:
    """Why the page counts different numbers of makers; nothing where they are the same."""
    measured, weighed = len({row.result.pk for row in judged.rows}), found["yarn"]["testers"]
    if wrote in (0, measured) and weighed in (0, measured):
        return ""
    said = {"written": wrote, "measured": measured, "weighed yarn that is counted": weighed}
    makers = joined(
        [f"{count} {'has' if count == 1 else 'have'} {what}" for what, count in said.items() if count]
    )
    return f"Of the makers, {makers}: each counts for what they have sent."


def _remark_form(request: HttpRequest, call: TestCall, pk: int) -> tuple[Remark, CorrectionForm]:
    """A remark and its form."""
    remark = get_object_or_404(remarks_of(call), pk=pk)
    return remark, _form(request, remark.result.version, remark_prefill(remark))


def _result_form(
    request: SignedInRequest, call: TestCall, pk: int, name: str
) -> tuple[DeviationRow, CorrectionForm]:
    """What a result measures and its form."""
    result = get_object_or_404(results_of(call), pk=pk)
    row = _row_or_404(call, result, name)
    return row, _form(request, result.version, result_prefill(row), name)


def _row_or_404(call: TestCall, result: Result, name: str) -> DeviationRow:
    """The row of a result and measurement."""
    for row in judge_call(call, standing_found(call)).rows:
        if row.result.pk == result.pk and row.line.name == name:
            return row
    raise Http404


def _form(
    request: HttpRequest, version: Version, prefill: dict[str, Any], measurement: str = ""
) -> CorrectionForm:
    """The erratum form over the places of the version that was worked from."""
    figures = version_figures(version)
    places, sizes = spots_of_measurement(figures, measurement), figures.pattern.sizes
    return CorrectionForm(sent(request), places=places, sizes=sizes, version=version, initial=prefill)
