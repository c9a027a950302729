"""Stitch patterns on the desk: the list, the form with the chart beside it, and one taken out."""

import json
import re
from string import ascii_uppercase
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.edits import StaleRevision, edit_document
from catalogue.drafts.patterns import graded, read_core
from catalogue.drawings.chart_keys import sign_pens
from catalogue.drawings.stitch_charts import SCREEN_CELL_MM, Look
from catalogue.drawings.stitch_forms import PART, StitchPatternForm
from catalogue.drawings.stitch_sheets import StitchSheet, stitch_sheet
from catalogue.drawings.stripe_bands import ink_on
from catalogue.drawings.views import home_edition
from catalogue.materials.yarns import chosen_shades
from catalogue.studio.requests import form_page, person_of, whole_number
from catalogue.studio.roles import studio_required
from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import Graded, grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding
from grading.sheets.documents import Document

STALE = "Somebody else changed this pattern meanwhile, so nothing was done: look at it again."


@require_safe
@studio_required
def stitch_patterns(request: HttpRequest, slug: str) -> HttpResponse:
    """All stitch patterns as they print."""
    draft = open_draft(request.user, slug)
    facts = facts_of(read_core(draft.pattern), graded(draft.pattern))
    look = Look(facts, home_edition(request, draft), chosen_shades(draft.pattern), SCREEN_CELL_MM)
    kept = list(range(len(facts.pattern.sizes)))
    shown = [
        {
            "number": number,
            "of": stitch_sheet(entry, look, kept),
            "findings": _merged(
                one for one in graded(draft.pattern).findings if one.where == _where(entry.name)
            ),
        }
        for number, entry in enumerate(facts.pattern.stitch_patterns, 1)
    ]
    page = {"pattern": draft.pattern, "tab": "words", "shown": shown, "revision": draft.revision}
    return render(request, "catalogue/stitches/patterns.html", page)


@form_page
@studio_required
def stitch_pattern_new(request: HttpRequest, slug: str) -> HttpResponse:
    """Add a stitch pattern."""
    return _edit(request, open_draft(request.user, slug), None)


@form_page
@studio_required
def stitch_pattern(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Change a stitch pattern."""
    draft = open_draft(request.user, slug)
    try:
        return _edit(request, draft, _place_of(request, draft, number))
    except _TakenOut:
        form = _as_new(request, draft)
        messages.error(
            request,
            "Somebody else took this stitch pattern out meanwhile, so yours is not saved: "
            "save again to add it as a new one.",
        )
        return render(request, "catalogue/stitches/form.html", _page(request, draft, form), status=409)


@require_POST
@studio_required
def stitch_pattern_preview(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """What is typed as it prints, with its chart; nothing is stored. Number 0 is a new one."""
    draft = open_draft(request.user, slug)
    try:
        place = None if number == 0 else _place_of(request, draft, number)
        form = StitchPatternForm(request.POST, document=draft.document, place=place, revision=draft.revision)
    except _TakenOut:
        form = _as_new(request, draft)
    page = _page(request, draft, form)
    is_part = getattr(request, "htmx", False)
    return render(
        request, "catalogue/stitches/_preview.html" if is_part else "catalogue/stitches/form.html", page
    )


@require_POST
@studio_required
def stitch_pattern_delete(request: HttpRequest, slug: str, number: int) -> HttpResponse:
    """Take a stitch pattern out."""
    draft = open_draft(request.user, slug)
    place = _place(draft, number)
    entries = list(draft.document[PART])
    label = entries.pop(place)["label"]
    sent = request.POST.get("revision", "")
    revision = int(sent) if sent.isdecimal() and len(sent) < 10 else -1
    try:
        edit_document(
            pattern=draft.pattern,
            revision=revision,
            document={**draft.document, PART: entries},
            by=person_of(request),
        )
        messages.success(request, f"{label} is deleted. Undo brings it back.")
    except StaleRevision:
        messages.error(request, STALE)
    return redirect("stitch_patterns", slug=slug)


def _place(draft: Draft, number: int) -> int:
    """The place of a stitch pattern by its number from 1."""
    if not 1 <= number <= len(draft.document.get(PART, [])):
        raise Http404
    return number - 1


class _TakenOut(Exception):
    """The stitch pattern that was typed over is not in the pattern any more."""


def _place_of(request: HttpRequest, draft: Draft, number: int) -> int:
    """The place of the stitch pattern that is meant: by the name that was sent, since places move."""
    name = request.POST.get("name")
    if not name:
        return _place(draft, number)
    names = [one["name"] for one in draft.document.get(PART, [])]
    if name not in names:
        raise _TakenOut
    return names.index(name)


def _as_new(request: HttpRequest, draft: Draft) -> StitchPatternForm:
    """What was typed, as the form of a new stitch pattern."""
    typed = request.POST.copy()
    typed["name"], typed["revision"] = "", str(draft.revision)
    return StitchPatternForm(typed, document=draft.document, place=None, revision=draft.revision)


def _where(name: str) -> str:
    """Where findings say that they stand."""
    return f"stitch_patterns.{name}"


def _merged(findings: Any) -> list[dict[str, str]]:
    """Findings as a page shows them, the same sentence once with its sizes."""
    found: dict[tuple[str, str], list[str]] = {}
    for one in findings:
        found.setdefault((one.weight, one.says), []).extend([one.size] if one.size else [])
    return [
        {"weight": weight, "says": f"{', '.join(sizes)}: {says}" if sizes else says}
        for (weight, says), sizes in found.items()
    ]


def _edit(request: HttpRequest, draft: Draft, place: int | None) -> HttpResponse:
    """The form, or what it saves."""
    form = StitchPatternForm(
        request.POST or None, document=draft.document, place=place, revision=draft.revision
    )
    if request.method == "POST" and _is_stale(request, draft):
        return _overtaken(request, draft, form)
    if request.method == "POST" and form.is_valid():
        try:
            difference = edit_document(
                pattern=draft.pattern,
                revision=form.cleaned_data["revision"],
                document=form.document,
                by=person_of(request),
            )
            messages.success(request, f"{form.entry['label']} is saved. {difference.own_sentence}")
            return redirect("stitch_patterns", slug=draft.pattern.slug)
        except StaleRevision:
            return _overtaken(request, draft, form)
        except PatternFileError as error:
            form.add_error(None, error.reason)
    return render(request, "catalogue/stitches/form.html", _page(request, draft, form))


def _is_stale(request: HttpRequest, draft: Draft) -> bool:
    """Whether somebody saved the pattern since the form was opened."""
    sent = whole_number(request.POST.get("revision", ""), otherwise=draft.revision)
    return sent != draft.revision


def _overtaken(request: HttpRequest, draft: Draft, form: StitchPatternForm) -> HttpResponse:
    """What was typed, to be saved again over what somebody else saved."""
    form.data = request.POST.copy()
    form.data["revision"] = str(draft.pattern.sheet.revision)
    messages.error(
        request, "Somebody else saved this pattern meanwhile, so yours is not saved yet: save again."
    )
    return render(request, "catalogue/stitches/form.html", _page(request, draft, form), status=409)


def _page(request: HttpRequest, draft: Draft, form: StitchPatternForm) -> dict[str, Any]:
    """The form with what it prints beside it."""
    number = 0 if form.place is None else form.place + 1
    sheet, found = None, list[Finding]()
    if form.is_bound and form.is_valid():
        sheet, found = _shown(request, draft, form.document, form.entry["name"])
    elif form.place is not None and not form.is_bound:
        sheet, found = _shown(request, draft, draft.document, form.known["name"])
    slug = draft.pattern.slug
    is_new = form.place is None
    return {
        "pattern": draft.pattern,
        "tab": "words",
        "form": form,
        "heading": "New stitch pattern" if is_new else f"Stitch pattern {form.known['label']}",
        "save_address": reverse("stitch_pattern_new", args=[slug])
        if is_new
        else reverse("stitch_pattern", args=[slug, number]),
        "number": number,
        "name": form.known.get("name") or form.entry.get("name", ""),
        "sheet": sheet,
        "findings": _merged(found),
        "grid_colours": _grid_colours(draft, form),
        "pens": sign_pens(_look(request, draft, read_core(draft.pattern))),
    }


def _grid_colours(draft: Draft, form: StitchPatternForm) -> str:
    """The colours that cells of a grid can have, as JSON: those of the yarns, then those that it has now."""
    typed = str(form["grid"].value() or "").upper()
    own = [str(one["colour"]) for one in draft.document.get("yarns", [])]
    letters = sorted({*own, *re.findall("[A-Z]", typed)} or {"A"})
    letters += [next(one for one in ascii_uppercase if one not in letters)] if len(letters) == 1 else []
    fills = {letter: one["srgb"] for letter, one in chosen_shades(draft.pattern).items()}
    colours = {letter: {"fill": fill, "ink": ink_on(fill)} for letter, fill in fills.items()}
    return json.dumps({"letters": letters, "colours": colours})


def _look(request: HttpRequest, draft: Draft, core: PatternFile, numbers: Graded | None = None) -> Look:
    """How charts and signs are drawn on the page."""
    facts = facts_of(core, numbers or graded(draft.pattern))
    return Look(facts, home_edition(request, draft), chosen_shades(draft.pattern), SCREEN_CELL_MM)


def _shown(
    request: HttpRequest, draft: Draft, document: Document, name: str
) -> tuple[StitchSheet, list[Finding]]:
    """A stitch pattern of a document as it prints, and what is found in it."""
    core = read_pattern(document, trusted=True)
    numbers = grade(core)
    look = _look(request, draft, core, numbers)
    entry = next(one for one in core.stitch_patterns if one.name == name)
    found = [one for one in numbers.findings if one.where == _where(name)]
    return stitch_sheet(entry, look, list(range(len(core.sizes)))), found
