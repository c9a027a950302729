"""Errata that are the same mistake: found, and merged into one."""

from django.db import transaction

from catalogue.errata.errata import (
    ErratumRefused,
    add_sighting,
    erratum_glance,
    judge_erratum,
    note_event,
    note_guards,
)
from catalogue.models import Erratum, Person
from catalogue.versions.glances import check_glance
from catalogue.versions.held_errata import hold_errata, hold_erratum


@transaction.atomic
def merge_errata(*, erratum: Erratum, into: Erratum, by: Person | None, seen: str | None = None) -> None:
    """Tell one erratum with another of the same pattern, which takes over where and by whom it was met."""
    hold_errata([erratum, into])  # both in one order, so that nobody waits for each other
    hold_erratum(erratum)
    hold_erratum(into)
    check_glance(seen, erratum_glance(erratum))
    if says := _why_not_merged(erratum, into):
        raise ErratumRefused(says)
    if erratum.state == "confirmed" and into.state == "reported":
        judge_erratum(erratum=into, is_mistake=True, by=by)
    add_sighting(
        erratum=into,
        version=erratum.found_in,
        found_by=erratum.found_by or erratum.get_source_display(),
        note=erratum.says or erratum.why,
        sizes=erratum.sizes,
        by=by,
    )
    erratum.sightings.update(erratum=into)
    erratum.guards.update(erratum=into)
    erratum.state, erratum.merged_into = "merged", into
    erratum.save(update_fields=("state", "merged_into"))
    note_guards(erratum)
    note_event(erratum, by, f"Merged into erratum {into.pk}.")


def _why_not_merged(erratum: Erratum, into: Erratum) -> str | None:
    """Why one erratum can't be told with another; None when it can."""
    if into.pattern_id != erratum.pattern_id or into.pk == erratum.pk:
        return "An erratum is merged into another one of the same pattern: choose one."
    if "merged" in (erratum.state, into.state):
        which = "This" if erratum.state == "merged" else "That"
        return f"{which} erratum is a duplicate itself: choose the one it was merged into."
    if erratum.state == "corrected":
        return "This erratum is corrected already: it keeps its own entry."
    if into.state == "dismissed" and erratum.state == "confirmed":
        return "That erratum was judged to be no mistake, and this one is: confirm that one first."
    fixed, found = into.corrected_in, erratum.found_in
    if fixed and found and found.order >= fixed.order:
        return (
            f"That erratum was corrected in version {fixed.number}, and this one was found in "
            f"{found.number}: the mistake came back, so it keeps its own entry."
        )
    return None


def likely_same(erratum: Erratum) -> list[Erratum]:
    """Other errata at the same place that are not merged: what this one may be the same as."""
    others = erratum.pattern.errata.filter(place=erratum.place).exclude(pk=erratum.pk).exclude(state="merged")
    return [
        one for one in others if not one.sizes or not erratum.sizes or set(one.sizes) & set(erratum.sizes)
    ]
