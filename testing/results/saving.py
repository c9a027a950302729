"""Saving an answer from its page: what came in meanwhile is shown first."""

from typing import Any, Protocol

from django import forms

from catalogue.studio.glance_forms import GlanceForm
from catalogue.versions.glances import Moved, written_glance
from testing.access.requests import SignedInRequest, own_place_or_404
from testing.access.selectors import result_of
from testing.asked.figures import placement_figures
from testing.models import Placement
from testing.results.entry_glances import Asked, entries_glance, sent_before
from testing.results.garment_forms import Entries
from testing.results.results import keep_part, save_entry


class OneAnswerForm(Protocol):
    """A form of one answer."""

    cleaned_data: dict[str, Any]

    def typed(self) -> dict[str, Any]:
        """As typed."""

    def meant(self) -> dict[str, Any]:
        """What it means."""


class PartForm(Protocol):
    """A form that holds all of one part."""

    cleaned_data: dict[str, Any]

    def is_valid(self) -> bool:
        """Whether everything can be read."""

    def entries(self) -> Entries:
        """What is told, by name."""


def is_saved(placement: Placement, form: OneAnswerForm, asked: Asked) -> bool:
    """Save one answer; False where another came in since the page was opened, which is listed."""
    told, seen = {"typed": form.typed(), "meant": form.meant()}, form.cleaned_data["seen"] or None
    try:
        save_entry(placement=placement, part=asked.part, name=asked.name or "", seen=seen, **told)
    except Moved as other:
        asked.moved += other.entries
    return not asked.moved


def is_part_kept(placement: Placement, form: PartForm, asked: Asked) -> bool:
    """Keep all of a part; False where other answers came in since the page was opened, which are listed."""
    seen = form.cleaned_data["seen"] or None
    try:
        keep_part(placement=placement, part=asked.part, entries=form.entries(), seen=seen)
    except Moved as other:
        asked.moved += other.entries
    return not asked.moved


def as_it_stands(
    request: SignedInRequest, placement: Placement, form: forms.Form | PartForm, asked: Asked | None
) -> Placement:
    """The place as its page shows it, and the form with what is seen there.

    What was typed wrongly still belongs to what was seen before.
    """
    if asked is None or not isinstance(form, GlanceForm):
        return placement
    if asked.moved:
        placement = own_place_or_404(request, placement.pk)
    if asked.moved or not form.is_bound:
        result = result_of(placement)
        entries = result.entries.all() if result else ()
        known = [entry for entry in entries if asked.holds(entry.part, entry.name)]
        form.carry(written_glance(entries_glance(known, placement_figures(placement))))
    return placement


def shown_before(placement: Placement, asked: Asked | None) -> dict[str, Any]:
    """What a question shows beside its form: what was sent before, and what came in meanwhile."""
    if asked is None:
        return {"before": [], "moved": []}
    return {"before": sent_before(placement, asked), "moved": asked.moved}
