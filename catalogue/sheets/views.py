"""The sheet: its grid, its sizes, and undoing."""

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.edits import NothingToUndo, StaleRevision, undo_last_edit
from catalogue.drafts.patterns import graded
from catalogue.drafts.saving import save, signed_in_person
from catalogue.sheets.entry_views import YARN_PARTS
from catalogue.sheets.used_tables import unchecked_tables
from catalogue.studio.requests import form_page
from catalogue.studio.roles import studio_required, whole_studio_required
from grading.core.formula.dimensions import KINDS as KINDS_OF_VALUES
from grading.core.formula.tree import COMPARISONS
from grading.entries.revision_forms import RevisionForm
from grading.grid.finding_groups import finding_groups, settled_lines
from grading.grid.formula_words import formula_words, function_words, line_words, unit_words
from grading.grid.grid import TITLES, GridRow, findings_by_entry, sheet_grid
from grading.grid.refusals import KINDS
from grading.grid.shown_numbers import unit_of
from grading.grid.yarn_tables import coloured_as
from grading.sheets.documents import PARTS, entries_of
from grading.sizes.forms import BodyTableForm, SizesForm

OTHER_PARTS = tuple(
    part
    for part in PARTS
    if part not in {"sizes", "body", "fabrics", "values", "checks", "pick_ups", "options", *YARN_PARTS}
)

UNDO_BACK = frozenset({"sheet", "yarn_page", "words_text"})


@studio_required
@require_safe
def sheet(request: HttpRequest, slug: str) -> HttpResponse:
    """The grid of values × sizes, with the findings at their rows."""
    draft = open_draft(request.user, slug)
    groups = sheet_grid(draft.document, draft.graded, getattr(request.user, "units", "cm"))
    noticed = finding_groups(draft.document, draft.findings)
    context = {
        "pattern": draft.pattern,
        "tab": "sheet",
        "sizes": draft.document["sizes"],
        "size_groups": draft.document.get("size_groups", []),
        "groups": groups,
        "sections": sections(groups),
        "tables": unchecked_tables(draft.document),
        "is_empty": not any(draft.document.get(part) for part in ("body", "values")),
        "values_at": reverse("value", args=[slug, "NAME"]).removesuffix("NAME/"),
        "parts_at": reverse("entry", args=[slug, "PART", 0]).removesuffix("PART/0/"),
        "grid_data": grid_data(draft, getattr(request.user, "units", "cm")),
        "parts": other_parts(draft, OTHER_PARTS),
        "noticed": noticed,
        "noticed_words": noticed_words([group.weight for group in noticed]),
        "settled": settled_lines(draft.document, graded(draft.pattern)),
        "revision": draft.revision,
        "undo": RevisionForm(initial={"revision": draft.revision}, button="Undo the last edit"),
        "last_edit": draft.pattern.edits.filter(undone=False).select_related("by").first(),
    }
    return render(request, "catalogue/sheet.html", context)


def noticed_words(weights: list[str]) -> str:
    """How much was noticed, to be read before the grid.

    >>> noticed_words(["stop", "warn", "warn"]), noticed_words(["warn"]), noticed_words([])
    ('1 Stop, 2 to look at again', '1 to look at again', '')
    """
    stops = weights.count("stop")
    others = len(weights) - stops
    said = [f"{stops} Stop{'' if stops == 1 else 's'}"] if stops else []
    return ", ".join([*said, f"{others} to look at again"] if others else said)


def sections(groups: list[tuple[str, list[GridRow]]]) -> list[tuple[str, str, list[GridRow]]]:
    """Each section of the grid by part, with its title and its lines; an empty one too, to be typed into."""
    rows = dict(groups)
    return [(part, title, rows.get(title, [])) for part, title in TITLES.items()]


def grid_data(draft: Draft, units: str) -> dict[str, object]:
    """What the grid needs beside its cells to be edited in place."""
    slug = draft.pattern.slug
    names = ("grid_preview", "grid_save", "undo")
    return {
        "slug": slug,
        "revision": draft.revision,
        "addresses": {name: reverse(name, args=[slug]) for name in names},
        "origin": reverse("value_origin", args=[slug, "NAME"]),
        "kinds": [[kind, unit_of(kind, units) or kind] for kind in KINDS_OF_VALUES],
        "words": formula_words(draft.document),
    }


def other_parts(draft: Draft, parts: tuple[str, ...]) -> list[dict[str, object]]:
    """The entries of parts that have no row in the grid, with their findings."""
    found = findings_by_entry(draft.graded["findings"])
    return [
        {
            "part": part,
            "kind": KINDS[part],
            "entries": [
                {
                    "name": name,
                    "label": coloured_as(draft.document, entry)
                    if part == "yarn_sections"
                    else entry.get("label", ""),
                    "findings": found.get(f"{part}.{name}", []) + found.get(f"{part}[{place}]", []),
                }
                for place, (name, entry) in enumerate(entries_of(draft.document, part))
            ],
        }
        for part in parts
    ]


@studio_required
@require_safe
def formula_help(request: HttpRequest, slug: str) -> HttpResponse:
    """What a formula can say, made from the tables that the calculation reads."""
    draft = open_draft(request.user, slug)
    context = {
        "pattern": draft.pattern,
        "tab": "sheet",
        "lines": line_words(draft.document),
        "functions": function_words(),
        "units": unit_words(),
        "comparisons": sorted(COMPARISONS),
    }
    return render(request, "catalogue/formula_help.html", context)


@studio_required
@require_POST
def undo(request: HttpRequest, slug: str) -> HttpResponse:
    """Take back the last edit."""
    draft = open_draft(request.user, slug)
    form = RevisionForm(request.POST)
    back = request.POST.get("back") if request.POST.get("back") in UNDO_BACK else "sheet"
    try:
        revision = form.cleaned_data["revision"] if form.is_valid() else 0
        undone = undo_last_edit(pattern=draft.pattern, revision=revision, by=signed_in_person(request))
        messages.success(request, f"The last edit is undone: {undone.sentence}")
    except NothingToUndo:
        messages.warning(request, "There is no edit to undo.")
    except StaleRevision:
        messages.error(
            request, "Somebody else edited this pattern meanwhile. Look at it, then press Undo again."
        )
    return redirect(str(back), slug)


@studio_required
@form_page
def sizes(request: HttpRequest, slug: str) -> HttpResponse:
    """Edit the labels of the sizes."""
    draft = open_draft(request.user, slug)
    form = SizesForm(request.POST or None, document=draft.document, revision=draft.revision)
    return _edit(request, draft, form, "Sizes")


@whole_studio_required
@form_page
def body_table(request: HttpRequest, slug: str) -> HttpResponse:
    """Paste body measurements from a spreadsheet."""
    draft = open_draft(request.user, slug)
    form = BodyTableForm(request.POST or None, document=draft.document, revision=draft.revision)
    return _edit(request, draft, form, "Body measurements")


def _edit(request: HttpRequest, draft: Draft, form: SizesForm | BodyTableForm, title: str) -> HttpResponse:
    """Show a form of the size table, or save it."""
    back = reverse("sheet", args=[draft.pattern.slug])
    context = {"pattern": draft.pattern, "tab": "sheet", "form": form, "heading": title, "back": back,
               "sizes": draft.document["sizes"], "their_edits": []}  # fmt: skip
    if form.is_bound and form.is_valid():
        return save(request, draft, form, "catalogue/sheet_form.html", context, back)
    return render(request, "catalogue/sheet_form.html", context)
