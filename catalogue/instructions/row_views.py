"""The page “Row by row”: the count after every written row in every size, and the same as files."""

from collections.abc import Callable
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.finding_spots import linked_findings
from catalogue.drafts.patterns import graded
from catalogue.drafts.requests import pattern_or_404
from catalogue.instructions.count_reasons import FaultGone, judged_faults, keep_fault
from catalogue.instructions.row_accounts import SHOWN, gauge_of, lines_of, row_account, values_of
from catalogue.instructions.row_files import row_account_csv, row_account_xlsx
from catalogue.models import Pattern
from catalogue.studio.requests import person_of
from catalogue.studio.roles import designer_required, is_designer, studio_required
from grading.core.grade.worked_pieces import worked_piece_findings
from grading.core.instructions.asked_words import of_words, words_asked
from grading.core.pattern.pattern import PatternFile

LONGEST_REASON = 500
GONE = "Somebody changed the words or numbers of that row meanwhile: look at it again."
FILTERS = ("section", "option", "size", "show", "gauge", "value")
FILES: dict[str, tuple[str, Callable[[Pattern], bytes]]] = {
    "csv": ("text/csv; charset=utf-8", row_account_csv),
    "xlsx": ("application/vnd.openxmlformats-officedocument.spreadsheetml.sheet", row_account_xlsx),
}


@require_safe
@studio_required
def row_by_row(request: HttpRequest, slug: str) -> HttpResponse:
    """Every written row worked in every size; those that do not come out first."""
    pattern = pattern_or_404(request, slug)
    asked = {name: request.GET.get(name, "")[:120] for name in FILTERS}
    found = graded(pattern)
    core = found.pattern
    noticed = (
        *of_words((*found.findings, *words_asked(core))),
        *worked_piece_findings(lines_of(found), found),
    )
    page = {
        "pattern": pattern,
        "tab": "rows",
        "account": row_account(pattern, asked),
        "asked": asked,
        "gauge": gauge_of(core, asked["gauge"]),
        "first_fabric": core.fabrics[0] if len(core.fabrics) > 1 else None,
        "filters": _filters(core),
        "judged": judged_faults(pattern),
        "words": linked_findings(pattern.slug, core.typed, [one.as_json() for one in noticed]),
        "longest_reason": LONGEST_REASON,
        "may_keep": is_designer(request.user),
    }
    return render(request, "catalogue/words/row_by_row.html", page)


def _filters(core: PatternFile) -> list[dict[str, Any]]:
    """The selects above the account, each with what may be chosen."""
    options = [
        (f"{one.name}:{choice}", f"{one.label}: {choice}") for one in core.options for choice in one.choices
    ]
    fabrics = [("", "each row"), *((one.name, one.label) for one in core.fabrics)]
    found = [
        ("size", "Size", [("", "all"), *((size, size) for size in core.sizes)]),
        (
            "section",
            "Section",
            [("", "all"), *((str(n), one.title) for n, one in enumerate(core.sections, 1))],
        ),
        ("option", "Option", [("", "all"), *options] if options else []),
        ("show", "Show", list(SHOWN.items())),
        ("value", "Value", [("", "all"), *_values_in(core)]),
        ("gauge", "Lengths at the gauge of", fabrics if len(core.fabrics) > 1 else []),
    ]
    return [{"name": name, "label": label, "choices": choices} for name, label, choices in found if choices]


def _values_in(core: PatternFile) -> list[tuple[str, str]]:
    """The values that steps hang on, in the order of the sheet."""
    used = {name for section in core.sections for step in section.steps for name in values_of(step, core)}
    return [(one.name, one.label) for one in core.values if one.name in used]


@require_POST
@designer_required
def row_reason(request: HttpRequest, slug: str) -> HttpResponse:
    """Keep a count that does not come out, with a reason; without one it stands in the way again."""
    pattern = pattern_or_404(request, slug)
    reason = request.POST.get("reason", "").replace("\x00", "").strip()[:LONGEST_REASON]
    try:
        keep_fault(pattern=pattern, key=request.POST.get("key", ""), reason=reason, by=person_of(request))
    except FaultGone:
        messages.error(request, GONE)
    else:
        messages.success(request, "The reason is saved." if reason else "The reason is deleted.")
    return redirect("row_by_row", slug=slug)


@require_safe
@studio_required
def row_by_row_file(request: HttpRequest, slug: str, kind: str) -> HttpResponse:
    """The whole account as a file."""
    pattern = pattern_or_404(request, slug)
    if kind not in FILES:
        raise Http404
    content_type, write = FILES[kind]
    headers = {"Content-Disposition": f'attachment; filename="{pattern.slug}-row-by-row.{kind}"'}
    return HttpResponse(write(pattern), content_type=content_type, headers=headers)
