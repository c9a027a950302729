"""The page “Row by row”: the count after every written row in every size, and the same as a file."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from catalogue.drafts.patterns import graded
from catalogue.drafts.requests import pattern_or_404
from catalogue.instructions.row_accounts import SHOWN, row_account, row_account_file
from catalogue.studio.roles import studio_required

FILTERS = ("section", "size", "show")


@require_safe
@studio_required
def row_by_row(request: HttpRequest, slug: str) -> HttpResponse:
    """Every written row worked in every size; those that do not come out first."""
    pattern = pattern_or_404(request, slug)
    asked = {name: request.GET.get(name, "")[:60] for name in FILTERS}
    made = graded(pattern)
    page = {
        "pattern": pattern,
        "tab": "rows",
        "account": row_account(pattern, asked),
        "asked": asked,
        "sections": [(str(number), section.title) for number, section in enumerate(made.pattern.sections, 1)],
        "sizes": made.sizes,
        "shown": SHOWN,
    }
    return render(request, "catalogue/words/row_by_row.html", page)


@require_safe
@studio_required
def row_by_row_csv(request: HttpRequest, slug: str) -> HttpResponse:
    """The whole account as a file."""
    pattern = pattern_or_404(request, slug)
    answer = HttpResponse(row_account_file(pattern), content_type="text/csv; charset=utf-8")
    answer["Content-Disposition"] = f'attachment; filename="{pattern.slug}-row-by-row.csv"'
    return answer
