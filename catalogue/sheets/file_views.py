"""The sheet of a pattern as files: workbooks with live formulas, CSV, and lists of values brought in."""

from collections.abc import Callable
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.edits import preview_edit
from catalogue.drafts.patterns import graded
from catalogue.drafts.saving import save
from catalogue.studio.roles import studio_required, whole_studio_required
from grading.core.grade.grade import Graded
from grading.sizes.table_forms import ValueListsForm, brought_layout
from grading.workbooks.files import csv_file, ods_file, xlsx_file
from grading.workbooks.workbook import workbook_of

FILES: dict[str, tuple[str, Callable[[Graded], bytes]]] = {
    "xlsx": (
        "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
        lambda made: xlsx_file(workbook_of(made)),
    ),
    "ods": ("application/vnd.oasis.opendocument.spreadsheet", lambda made: ods_file(workbook_of(made))),
    "csv": ("text/csv; charset=utf-8", csv_file),
}
TEMPLATE = "catalogue/size_tables/lists.html"


@studio_required
@require_safe
def sheet_file(request: HttpRequest, slug: str, kind: str) -> HttpResponse:
    """The sheet as a workbook or as CSV."""
    draft = open_draft(request.user, slug)
    if kind not in FILES:
        raise Http404
    content_type, write = FILES[kind]
    headers = {"Content-Disposition": f'attachment; filename="{slug}.{kind}"'}
    return HttpResponse(write(graded(draft.pattern)), content_type=content_type, headers=headers)


@whole_studio_required
@require_safe
def value_lists(request: HttpRequest, slug: str) -> HttpResponse:
    """Import lists of values from a spreadsheet."""
    draft = open_draft(request.user, slug)
    form = ValueListsForm(document=draft.document, revision=draft.revision)
    return render(request, TEMPLATE, _context(draft, form))


@whole_studio_required
@require_POST
def value_lists_check(request: HttpRequest, slug: str) -> HttpResponse:
    """Say what the lists would change; nothing is stored."""
    draft = open_draft(request.user, slug)
    return _check(request, draft, _bound(request, draft))


@whole_studio_required
@require_POST
def value_lists_store(request: HttpRequest, slug: str) -> HttpResponse:
    """Write lists that were looked at into the pattern."""
    draft = open_draft(request.user, slug)
    form = _bound(request, draft)
    if not form.is_valid() or not form.is_confirmed:
        return _check(request, draft, form)
    return save(request, draft, form, TEMPLATE, _context(draft, form), reverse("sheet", args=[slug]))


def _bound(request: HttpRequest, draft: Draft) -> ValueListsForm:
    """The form with what was brought."""
    return ValueListsForm(request.POST, request.FILES, document=draft.document, revision=draft.revision)


def _check(request: HttpRequest, draft: Draft, form: ValueListsForm) -> HttpResponse:
    """The form with what would change below it."""
    is_read = form.is_valid()
    context = _context(draft, form)
    if is_read:
        context |= {
            "confirm": True,
            "difference": preview_edit(pattern=draft.pattern, document=form.document),
        }
    form.looked_at()
    return render(request, TEMPLATE, context, status=200 if context["confirm"] else 400)


def _context(draft: Draft, form: ValueListsForm) -> dict[str, Any]:
    """What the page prints."""
    slug = draft.pattern.slug
    form.helper = brought_layout(form, reverse("value_lists_check", args=[slug]))
    return {
        "pattern": draft.pattern,
        "tab": "sheet",
        "form": form,
        "store": reverse("value_lists_store", args=[slug]),
        "lists": form.lists,
        "sizes": draft.document["sizes"],
        "confirm": False,
        "difference": None,
        "their_edits": [],
    }
