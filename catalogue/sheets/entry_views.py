"""Edit, add, preview, move and delete the entries of a sheet: values, fabrics, checks, yarns and so on."""

from typing import Any

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.functional import SimpleLazyObject
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.guard_findings import with_guards
from catalogue.drafts.saved_notes import yarn_notes
from catalogue.drafts.saving import errors_of, save
from catalogue.sheets.moves import moves
from catalogue.studio.requests import form_page
from catalogue.studio.roles import studio_required
from grading.core.pattern.parts import label_of
from grading.entries.copying import heading_of
from grading.entries.forms import EntryForm, entry_text
from grading.entries.layouts import entry_layout
from grading.entries.piece_forms import PieceForm
from grading.entries.revision_forms import MoveForm, RevisionForm
from grading.entries.shapes import proposals, proposed_part
from grading.grid.changed_rows import changed_rows
from grading.grid.formula_words import what_it_gives
from grading.grid.grid import merged_findings, place_label
from grading.grid.origins import check_figures, origins_of, users_of
from grading.grid.refusals import KINDS
from grading.sheets.documents import entries_of, with_entries

TEMPLATE = "catalogue/sheet_entry.html"
# Parts of which a preview shows a drawing and what the instructions will print.
PICTURED = frozenset(
    {"pieces", "joins", "shapings", "spreads", "curves", "pick_ups", "stripes", "fabrics", "yarn_sections"}
)
# Lines whose numbers a preview shows at once; the others are folded.
MOST_ROWS = 20
YARN_PARTS = frozenset({"yarns", "yarn_sections", "stripes"})


def page_of(part: str) -> str:
    """The page on which entries of a part are listed."""
    if part == "options":
        return "options_page"
    return "yarn_page" if part in YARN_PARTS else "sheet"


def entry_form(request: HttpRequest, draft: Draft, part: str, place: int | None) -> EntryForm:
    """The form for an entry of a draft, with what was typed."""
    form = (PieceForm if part == "pieces" else EntryForm)(
        request.POST or None,
        standing=draft.standing,
        part=part,
        place=place,
        revision=draft.revision,
    )
    where = [draft.pattern.slug, part] + ([] if form.place is None else [form.place])
    kind = "picture" if part in PICTURED else "preview"
    form.helper = entry_layout(
        form, reverse(f"entry_new_{kind}" if form.place is None else f"entry_{kind}", args=where)
    )
    return form


@studio_required
@form_page
def value(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """Edit a value, found by its name."""
    draft = open_draft(request.user, slug)
    return _edit(request, draft, "values", draft.place_of("values", name))


@studio_required
@form_page
def entry(request: HttpRequest, slug: str, part: str, place: int) -> HttpResponse:
    """Edit an entry, found by its place."""
    draft = open_draft(request.user, slug)
    draft.require_place(part, place)
    return _edit(request, draft, part, place)


@studio_required
@form_page
def entry_new(request: HttpRequest, slug: str, part: str) -> HttpResponse:
    """Add an entry after all others of its kind."""
    draft = open_draft(request.user, slug)
    draft.require_place(part, None)
    return _edit(request, draft, part, None)


def _edit(request: HttpRequest, draft: Draft, part: str, place: int | None) -> HttpResponse:
    """Show the form of an entry, or save it."""
    form = entry_form(request, draft, part, place)
    if part == "yarn_sections" and place is None:
        asked = request.GET.get("piece", ""), request.GET.get("fabric", "")
        form.initial.update(proposed_part(draft.document, *asked))
    context = _context(request, draft, form)
    if form.is_bound and form.is_valid():
        return save(request, draft, form, TEMPLATE, context, _after(request, draft, form))
    return render(request, _template(request), context)


def _after(request: HttpRequest, draft: Draft, form: EntryForm) -> str:
    """Where a save leads: to the page of the part, or to a form for another entry."""
    if "again" in request.POST:
        return reverse("entry_new", args=[draft.pattern.slug, form.part])
    anchor = f"#{form.part}-{form.new_name}" if page_of(form.part) == "sheet" else ""
    return reverse(page_of(form.part), args=[draft.pattern.slug]) + anchor


def _template(request: HttpRequest) -> str:
    """The whole page, or the form alone for the panel beside the grid."""
    return "catalogue/_sheet_entry.html" if getattr(request, "htmx", False) else TEMPLATE


def _context(request: HttpRequest, draft: Draft, form: EntryForm) -> dict[str, Any]:
    """What the page of an entry prints."""
    slug, part, place, name = draft.pattern.slug, form.part, form.place, form.name
    units = getattr(request.user, "units", "cm")
    # Worked out where they are printed alone: a save that goes through needs neither.
    origins = users = figures = None
    if name is not None:
        users = SimpleLazyObject(lambda: users_of(draft.document, name))
        if part == "values":
            origins = SimpleLazyObject(lambda: origins_of(draft.document, draft.graded, name, units))
        if part == "checks":
            figures = SimpleLazyObject(lambda: check_figures(draft.document, draft.graded, name, units))
    return {
        "pattern": draft.pattern,
        "tab": {"yarn_page": "yarn", "options_page": "options"}.get(page_of(part), "sheet"),
        "back": reverse(page_of(part), args=[slug]),
        "form": form,
        "part": part,
        "place": place,
        "name": name or "",
        "kind": KINDS[part],
        "title": _title(form),
        "origins": origins,
        "figures": figures,
        "users": users,
        "move": MoveForm(document=draft.document, part=part, place=place, revision=draft.revision)
        if place is not None
        else None,
        "delete": RevisionForm(initial={"revision": draft.revision}, button="Delete it"),
        "as_in_file": entry_text(form.entry_before),
        "meaning": f"catalogue/meanings/{part}.svg" if part in PICTURED else "",
        "proposals": proposals(draft.document) if part == "yarn_sections" and place is None else [],
        "their_edits": [],
    }


def _title(form: EntryForm) -> str:
    """What people call the entry; its name in words and its kind when it has no label."""
    if form.name is None:
        return ""
    return heading_of(form.part, form.name, form.entry_before)


@studio_required
@require_POST
def value_preview(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """Say what a value as typed would change."""
    draft = open_draft(request.user, slug)
    return _preview(request, draft, "values", draft.place_of("values", name))


@studio_required
@require_POST
def entry_preview(request: HttpRequest, slug: str, part: str, place: int | None = None) -> HttpResponse:
    """Say what an entry as typed would change; nothing is stored."""
    draft = open_draft(request.user, slug)
    draft.require_place(part, place)
    return _preview(request, draft, part, place)


def _preview(request: HttpRequest, draft: Draft, part: str, place: int | None) -> HttpResponse:
    """The preview of an entry."""
    form = entry_form(request, draft, part, place)
    form.is_valid()
    return render(request, "catalogue/_sheet_preview.html", preview_context(request, draft, form))


def preview_context(request: HttpRequest, draft: Draft, form: EntryForm) -> dict[str, Any]:
    """What would change: the sentence, the numbers before and after, what is noticed, what else moves."""
    units, difference = getattr(request.user, "units", "cm"), form.difference
    told: dict[str, Any] = {"moves": [], "origins": []}
    if form.states and not form.errors:
        before, after = form.states
        difference = with_guards(draft.pattern, difference, before, after)
        told["moves"] = moves(before, after, difference)
        if form.part == "values" and difference.values:
            graded = after.graded.as_json()
            told["origins"] = origins_of(after.document, graded, form.new_name, units)
    lines = {
        name: (str(label_of({"name": name, **entry})), entry["kind"])
        for name, entry in entries_of(form.document, "values")
    }
    rows = changed_rows(difference.values, lines, units)
    return {
        "difference": difference,
        "is_as_stored": form.document == draft.document,
        "gives": gives_of(form),
        "renamed": form.renamed_says,
        "findings": [
            {"weight": one["weight"], "says": f"{place_label(draft.document, one['where'])}: {one['says']}"}
            for one in merged_findings(list(difference.new_findings))
        ],
        "gone": [
            (place_label(draft.document, one["where"]), one["says"])
            for one in merged_findings(list(difference.gone_findings))
        ],
        "changed": rows[:MOST_ROWS],
        "more_changed": rows[MOST_ROWS:],
        "errors": errors_of(form),
        "yarn_notes": yarn_notes(*form.states, units) if form.states and not form.errors else [],
        **told,
    }


def gives_of(form: EntryForm) -> str:
    """What the formula of a value gives, in words."""
    if form.part != "values" or form.graded is None or form["source"].value() != "formula":
        return ""
    return what_it_gives(str(form["formula"].value()), form.graded.pattern)


@studio_required
@require_safe
def value_origin(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """Where the numbers of a value come from, for the panel beside the grid."""
    draft = open_draft(request.user, slug)
    draft.place_of("values", name)
    units = getattr(request.user, "units", "cm")
    return render(
        request,
        "catalogue/_sheet_origin.html",
        {
            "pattern": draft.pattern,
            "name": name,
            "size": request.GET.get("size", ""),
            "origins": origins_of(draft.document, draft.graded, name, units),
            "users": users_of(draft.document, name),
        },
    )


@studio_required
@require_POST
def entry_delete(request: HttpRequest, slug: str, part: str, place: int) -> HttpResponse:
    """Take an entry out; what hangs on it gets a finding, and undoing brings it back."""
    draft = open_draft(request.user, slug)
    draft.require_place(part, place)
    entries = entries_of(draft.document, part)
    form = RevisionForm(request.POST)
    form.document = {**draft.document, part: with_entries(part, entries[:place] + entries[place + 1 :])}
    return _save_or_refuse(request, draft, form, part)


@studio_required
@require_POST
def entry_move(request: HttpRequest, slug: str, part: str, place: int) -> HttpResponse:
    """Put an entry in another place."""
    draft = open_draft(request.user, slug)
    draft.require_place(part, place)
    form = MoveForm(request.POST, document=draft.document, part=part, place=place, revision=draft.revision)
    return _save_or_refuse(request, draft, form, part)


def _save_or_refuse(request: HttpRequest, draft: Draft, form: Any, part: str) -> HttpResponse:
    """Save a form of one button, or say why it cannot be."""
    back = reverse(page_of(part), args=[draft.pattern.slug])
    context = {"pattern": draft.pattern, "tab": "sheet", "back": back, "their_edits": [], "errors": []}
    if form.is_valid():
        return save(request, draft, form, "catalogue/sheet_stale.html", context, back)
    context |= {"errors": errors_of(form)}
    return render(request, "catalogue/sheet_stale.html", context, status=400)
