"""Findings that are right are settled from the sheet, with the reason."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.http import require_POST

from catalogue.drafts.drafts import open_draft
from catalogue.drafts.saving import errors_of, save
from catalogue.studio.roles import studio_required
from grading.entries.settling import SettleForm
from grading.grid.finding_groups import finding_groups


@studio_required
@require_POST
def settle(request: HttpRequest, slug: str) -> HttpResponse:
    """Write down why a finding of a line or a check is right; it is not noticed any more."""
    draft = open_draft(request.user, slug)
    noticed = finding_groups(draft.document, draft.graded["findings"])
    form = SettleForm(request.POST, document=draft.document, noticed=noticed, revision=draft.revision)
    back = f"{reverse('sheet', args=[slug])}#findings"
    context: dict[str, Any] = {
        "pattern": draft.pattern,
        "tab": "sheet",
        "back": back,
        "their_edits": [],
        "errors": [],
        "typed": form["why"].value() or "",
    }
    if form.is_valid():
        return save(request, draft, form, "catalogue/sheet_stale.html", context, back)
    return render(request, "catalogue/sheet_stale.html", {**context, "errors": errors_of(form)}, status=400)
