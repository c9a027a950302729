"""The results of a call, and from a remark or result to an erratum."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_safe

from catalogue.errata import ErratumRefused
from catalogue.roles import studio_required
from testing.assessing import standing_found
from testing.corrections import Correction, correct_from_remark, correct_from_result
from testing.figures import Figures, version_figures
from testing.fit import fit_table
from testing.forms.errata import CorrectionForm
from testing.judging import Row, judge_call, placed_remarks
from testing.models import Result, TestCall
from testing.prefills import places_of, remark_prefill, result_prefill
from testing.reports import report_pdf
from testing.selectors import remarks_of, results_of
from testing.shown_verdicts import show_verdicts
from testing.views.requests import SignedInRequest, call_or_404, form_page, sent


@require_safe
@studio_required
def call_results(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Verdicts, doubtful entries, picture and table; remarks below."""
    call = call_or_404(slug, pk)
    found = standing_found(call)
    page = {
        "pattern": call.pattern,
        "tab": "calls",
        "call": call,
        "judged": judge_call(call, found),
        "shown": show_verdicts(call, found, getattr(request.user, "units", "cm")),
        "fit": fit_table(call),
        "remarks": placed_remarks(call),
    }
    return render(request, "testing/call_results.html", page)


@require_safe
@studio_required
def call_report(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """The same as a PDF for the studio."""
    call = call_or_404(slug, pk)
    units = getattr(request.user, "units", "cm")
    content = report_pdf(call=call, found=standing_found(call), units=units)
    answer = HttpResponse(content, content_type="application/pdf")
    answer["Content-Disposition"] = f'attachment; filename="{slug}-results.pdf"'
    return answer


@form_page
@studio_required
def remark_erratum(request: HttpRequest, slug: str, pk: int, remark: int) -> HttpResponse:
    """A remark becomes an erratum."""
    call = call_or_404(slug, pk)
    found = get_object_or_404(remarks_of(call), pk=remark)
    figures = version_figures(found.result.version)
    form = _form(request, figures, remark_prefill(found, figures))
    if request.method == "POST" and form.is_valid() and _filed(request, form, remark=found):
        return redirect("call_results", slug=slug, pk=pk)
    return _page(request, call, form, f"Remark: {found.text}")


@form_page
@studio_required
def result_erratum(request: SignedInRequest, slug: str, pk: int, result: int, name: str) -> HttpResponse:
    """A measured deviation becomes an erratum."""
    call = call_or_404(slug, pk)
    found = get_object_or_404(results_of(call), pk=result)
    row = _row_or_404(call, found, name)
    form = _form(request, version_figures(found.version), result_prefill(row, request.user))
    if request.method == "POST" and form.is_valid() and _filed(request, form, result=found):
        return redirect("call_results", slug=slug, pk=pk)
    return _page(request, call, form, f"{row.line.label}, size {row.size}")


def _row_or_404(call: TestCall, result: Result, name: str) -> Row:
    """The row of a result and measurement."""
    for row in judge_call(call, standing_found(call)).rows:
        if row.result.pk == result.pk and row.line.name == name:
            return row
    raise Http404


def _form(request: HttpRequest, figures: Figures, prefill: dict[str, Any]) -> CorrectionForm:
    """The erratum form over the places of the version that was worked from."""
    return CorrectionForm(
        sent(request), places=places_of(figures), sizes=figures.pattern.sizes, initial=prefill
    )


def _filed(request: HttpRequest, form: CorrectionForm, **source: Any) -> bool:
    """File the erratum; a refusal is told at the form."""
    correction: Correction = form.correction()
    try:
        if "remark" in source:
            correct_from_remark(remark=source["remark"], correction=correction)
        else:
            correct_from_result(result=source["result"], correction=correction)
    except ErratumRefused as refused:
        form.add_error(None, str(refused))
        return False
    messages.success(request, "The erratum is filed; find it under “Versions and errata”.")
    return True


def _page(request: HttpRequest, call: TestCall, form: CorrectionForm, source: str) -> HttpResponse:
    """Show the erratum form beside what it comes from."""
    page = {"pattern": call.pattern, "tab": "calls", "call": call, "form": form, "source": source}
    return render(request, "testing/erratum.html", page)
