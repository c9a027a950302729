"""The special stitches of a pattern: as they print, what the studio changed, and what else there is."""

from collections.abc import Callable

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.drafts.drafts import Draft, open_draft
from catalogue.drafts.edits import StaleRevision, edit_document
from catalogue.drafts.patterns import graded, read_core
from catalogue.drawings.special_stitches import special_stitch
from catalogue.drawings.stitch_charts import Look
from catalogue.drawings.views import home_edition
from catalogue.helps.marks import first_place
from catalogue.models import SpecialStitch
from catalogue.special_stitches.stitches import newest_state, newest_states
from catalogue.special_stitches.taking import (
    PART,
    NoSuchStitch,
    kept_as_it_is,
    studio_changes,
    taken_over,
    without_stitch,
)
from catalogue.special_stitches.views import SCREEN_CELL_MM
from catalogue.studio.requests import person_of
from catalogue.studio.roles import studio_required
from catalogue.versions.frozen_stitches import states_in
from grading.core.formula.errors import PatternFileError
from grading.core.instructions.facts import facts_of
from grading.sheets.documents import Document

STALE = "Somebody else changed this pattern meanwhile, so nothing was done: look at it again."


@require_safe
@studio_required
def pattern_stitches(request: HttpRequest, slug: str) -> HttpResponse:
    """The special stitches of a pattern, and those that the studio has besides."""
    draft = open_draft(request.user, slug)
    core, newest = read_core(draft.pattern), newest_states()
    look = Look(facts_of(core, graded(draft.pattern)), home_edition(request, draft), {}, SCREEN_CELL_MM)
    states = states_in(draft.document)
    changes = {one.name: one for one in studio_changes(draft.document)}
    shown = [
        {
            "of": special_stitch(
                entry, look, list(states[entry.name].pictures.all()) if entry.name in states else ()
            ),
            "state": states.get(entry.name),
            "change": changes.get(entry.name),
        }
        for entry in core.special_stitches
    ]
    taken = {one.get("of_studio") for one in draft.document.get(PART, ())}
    offered = [
        {"state": one, "place": first_place([one.short, one.label], core)}
        for one in newest
        if one.stitch.code not in taken and one.craft == core.craft
    ]
    offered.sort(key=lambda one: one["place"] is None)
    page = {"pattern": draft.pattern, "tab": "words", "shown": shown, "offered": offered,
            "revision": draft.revision}  # fmt: skip
    return render(request, "catalogue/special_stitches/pattern.html", page)


@require_POST
@studio_required
def pattern_stitch_take(request: HttpRequest, slug: str, pk: int) -> HttpResponse:
    """Take a special stitch of the studio's over as it was shown, for the first time or again."""
    draft = open_draft(request.user, slug)
    state = newest_state(get_object_or_404(SpecialStitch, pk=pk))
    if request.POST.get("number") != str(state.number):
        messages.error(request, f"The studio changed “{state}” meanwhile: read it again, then decide.")
        return redirect("pattern_stitches", slug=slug)
    says = f"{draft.pattern} has “{state}” as the studio has it now. Undo takes it back."
    return _edited(request, draft, lambda document: taken_over(state, document), says)


@require_POST
@studio_required
def pattern_stitch_keep(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """Keep the pattern's words of a special stitch against what the studio changed, as it was shown."""
    draft = open_draft(request.user, slug)
    sent = request.POST.get("number", "")
    number = int(sent) if sent.isdecimal() and 0 < len(sent) < 10 else 0
    if not number:
        messages.error(request, "Choose on the page which change you mean.")
        return redirect("pattern_stitches", slug=slug)
    says = "The pattern keeps its words. You hear of the next change again."
    return _edited(request, draft, lambda document: kept_as_it_is(document, name, number), says)


@require_POST
@studio_required
def pattern_stitch_delete(request: HttpRequest, slug: str, name: str) -> HttpResponse:
    """Take a special stitch out of a pattern; the studio keeps it."""
    draft = open_draft(request.user, slug)
    says = "It is deleted from this pattern; the studio keeps it. Undo brings it back."
    return _edited(request, draft, lambda document: without_stitch(document, name), says)


def _edited(
    request: HttpRequest, draft: Draft, edited: Callable[[Document], Document], says: str
) -> HttpResponse:
    """Edit the pattern that was seen, and say what became of it."""
    sent = request.POST.get("revision", "")
    revision = int(sent) if sent.isdecimal() and len(sent) < 10 else -1
    try:
        document = edited(draft.document)
        edit_document(pattern=draft.pattern, revision=revision, document=document, by=person_of(request))
    except StaleRevision:
        messages.error(request, STALE)
    except NoSuchStitch as gone:
        messages.error(request, str(gone))
    except PatternFileError as refusal:
        messages.error(request, f"The pattern can’t have it: {refusal.reason}")
    else:
        messages.success(request, says)
    return redirect("pattern_stitches", slug=draft.pattern.slug)
