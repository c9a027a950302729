"""The yarn page: what each option, colour and size needs, and what that is worked out from."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.module_loading import import_string
from django.views.decorators.http import require_http_methods, require_safe

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.patterns import graded
from catalogue.drafts.saving import save
from catalogue.drafts.yarn_ends import yarn_ends
from catalogue.models import PatternYarn
from catalogue.sheets.views import other_parts
from catalogue.studio.roles import studio_required
from grading.entries.allowance_forms import AllowanceForm
from grading.entries.revision_forms import RevisionForm
from grading.grid.yarn_tables import choices_in_words, default_choices, yarn_table
from grading.grid.yarn_workings import yarn_working_table
from grading.sheets.documents import entries_of

PARTS = ("yarns", "yarn_sections", "stripes")


@studio_required
@require_safe
def yarn_page(request: HttpRequest, slug: str) -> HttpResponse:
    """Yarn by option, colour and size."""
    draft = open_draft(request.user, slug)
    return render(request, "catalogue/yarn.html", _context(request, draft, _form(request, draft)))


@studio_required
@require_http_methods(["POST"])
def allowance(request: HttpRequest, slug: str) -> HttpResponse:
    """Change the allowance on all yarn."""
    draft = open_draft(request.user, slug)
    form = _form(request, draft)
    context = _context(request, draft, form)
    if form.is_valid():
        return save(request, draft, form, "catalogue/yarn.html", context, reverse("yarn_page", args=[slug]))
    return render(request, "catalogue/yarn.html", context, status=400)


def _form(request: HttpRequest, draft: Draft) -> AllowanceForm:
    """The form of the allowance, with what was typed."""
    form = AllowanceForm(request.POST or None, document=draft.document, revision=draft.revision)
    form.helper.form_action = reverse("allowance", args=[draft.pattern.slug])
    return form


def _context(request: HttpRequest, draft: Draft, form: AllowanceForm) -> dict[str, Any]:
    """What the page prints."""
    units = getattr(request.user, "units", "cm")
    chosen = {name: request.GET.get(f"option-{name}", known)
              for name, known in default_choices(draft.document).items()}  # fmt: skip
    uses = list(
        PatternYarn.objects.filter(pattern=draft.pattern).select_related("yarn", "shade").order_by("colour")
    )
    by_testers = import_string(settings.YARN_BY_TESTERS)(draft.pattern)
    shades = {use.colour: use.shade.name if use.shade else "" for use in uses}
    return {
        "pattern": draft.pattern,
        "tab": "yarn",
        "uses": uses,
        "by_testers": by_testers,
        "their_fabrics": [
            (place, entry["label"])
            for place, (name, entry) in enumerate(entries_of(draft.document, "fabrics"))
            if by_testers and name in by_testers.fabrics
        ],
        "computed": [
            (place, entry["label"])
            for place, (_, entry) in enumerate(entries_of(draft.document, "fabrics"))
            if entry.get("swatch", {}).get("computed")
        ],
        "yarn_ends": yarn_ends(draft.pattern, draft.document),
        "sizes": draft.document["sizes"],
        "table": yarn_table(draft.document, draft.graded, chosen, shades, units),
        "options": [
            (name, entry["label"], entry["choices"], chosen[name])
            for name, entry in entries_of(draft.document, "options")
        ],
        "chosen_in_words": choices_in_words(draft.document, chosen),
        "working": yarn_working_table(graded(draft.pattern), chosen, request.GET.get("size", ""), units),
        "is_worked_out": "size" in request.GET,
        "parts": other_parts(draft, PARTS),
        "form": form,
        "back": reverse("yarn_page", args=[draft.pattern.slug]),
        "undo": RevisionForm(initial={"revision": draft.revision}, button="Undo the last edit"),
        "last_edit": draft.pattern.edits.filter(undone=False).select_related("by").first(),
        "their_edits": [],
    }


@studio_required
@require_safe
def options_page(request: HttpRequest, slug: str) -> HttpResponse:
    """What makers may choose: pieces, parts whose yarn is counted, sections and steps hang on it."""
    draft = open_draft(request.user, slug)
    context = {"pattern": draft.pattern, "tab": "options", "parts": other_parts(draft, ("options",)),
               "has_options": bool(draft.document.get("options"))}  # fmt: skip
    return render(request, "catalogue/options.html", context)
