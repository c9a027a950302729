"""Proposing places for a call, and sending the offers that the designer makes of it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from django.db import transaction

from catalogue.versions.glances import Seen, check_glance
from testing.access.selectors import held_places
from testing.asked.figures import call_figures
from testing.models import Application, Placement, PlaceQuota, TestCall
from testing.places.places import PlaceRefused, offer_place, put_on_waiting_list
from testing.placing.placing import Applicant, Placing, SizePlaces, Task, place_testers

MM_PER_CM = 10
MOST_SHOWN = 200  # a page sends a size and a mark for each, and a form of more than 1,000 fields is refused
LEFT_OUT = "Waiting list, chosen by hand."


@dataclass(frozen=True)
class ProposalRow:
    """One applicant of a proposal: size or none, why, and whether the designer chose it."""

    application: Application
    size: str
    reason: str
    is_kept: bool


@dataclass(frozen=True)
class Proposal:
    """A proposal for everybody who has no place yet."""

    rows: list[ProposalRow]
    placing: Placing
    held: int

    @property
    def shown(self) -> list[ProposalRow]:
        """Those who would get a place, and of those who wait the first, as far as a page goes."""
        placed = [row for row in self.rows if row.size]
        next_up = {key: rank for rank, key in enumerate(self.placing.waiting)}
        waiting = sorted(
            (row for row in self.rows if not row.size),
            key=lambda row: next_up.get(str(row.application.pk), -1),  # those left out by hand come first
        )
        rest = waiting[: max(MOST_SHOWN - len(placed), 0)]
        return [*placed, *sorted(rest, key=lambda row: row.application.pk)]

    @property
    def unseen(self) -> int:
        """How many more wait."""
        return len(self.rows) - len(self.shown)

    @property
    def says(self) -> str:
        """The proposal in one sentence."""
        new = self.placing.filled - self.held
        filled, needed = self.placing.filled, self.placing.filled_at_least
        places = "1 new place" if new == 1 else f"{new} new places"
        return f"{places}. That makes {filled} in all: {needed} needed, {filled - needed} spare."


def propose_places(call: TestCall, pins: Mapping[int, str] | None = None) -> Proposal:
    """Propose places for all who applied or wait; places held are kept, and what was chosen by hand.

    `pins` are sizes by application; one without a size stays on the waiting list.
    """
    everybody = list(call.applications.filter(state__in=Application.PROPOSED))
    held = list(held_places(call).select_related("application"))
    pins = pins or {}
    people = [one for one in everybody if pins.get(one.pk) != ""]
    placing = place_testers(placing_task(call, people, held, pins=pins))
    rows = [
        ProposalRow(one, placing.placed.get(key, ""), placing.reasons.get(key, LEFT_OUT), one.pk in pins)
        for one in everybody
        for key in [str(one.pk)]
    ]
    rows.sort(key=lambda row: (not row.size, row.application.pk))
    return Proposal(rows, placing, len(held))


def proposal_glance(proposal: Proposal) -> Seen:
    """Who would get which size, and why."""
    rows = sorted(proposal.shown, key=lambda row: row.application.pk)
    said = {str(row.application.pk): f"{row.application.name}. {row.reason}" for row in rows}
    return {"Applicant": said, "More who wait": proposal.unseen}


def placing_task(
    call: TestCall,
    people: Iterable[Application],
    held: Sequence[Placement],
    *,
    pins: Mapping[int, str],
    only: str = "",
) -> Task:
    """What a placing depends on; `only` leaves one place of that size free and none of any other."""
    figures = call_figures(call)
    sizes = figures.pattern.sizes
    asked = {one.name: _per_cm(one.entries) for one in figures.body if one.name in call.measurements}
    holders = {placement.application_id: placement.size for placement in held}
    taken = [placement.size for placement in held]
    places = tuple(
        SizePlaces(quota.size, quota.at_least, max(quota.at_most, taken.count(quota.size)))
        if not only
        else SizePlaces(quota.size, 0, _most_places(quota, taken.count(quota.size), only))
        for quota in call.quotas.all()
    )
    everybody = [*people, *(placement.application for placement in held)]
    applicants = tuple(_applicant(one, sizes, {**pins, **holders}.get(one.pk, "")) for one in everybody)
    complete = {name: cm for name, cm in asked.items() if np.isfinite(cm).all()}
    return Task(sizes, complete, places, applicants, call.seed)


@transaction.atomic
def send_offers(*, call: TestCall, chosen: Mapping[int, str], seen: str | None = None) -> int:
    """Send the offers of a proposal as the designer left it; who gets none goes on the waiting list.

    All of them or none: a size that is full refuses the whole, and nothing is sent.

    Raises:
        PlaceRefused: A place can't be given.
        Moved: What is proposed, and for whom, is not what was seen.
    """
    call = (
        TestCall.objects.select_for_update(of=("self",)).select_related("pattern", "version").get(pk=call.pk)
    )
    proposal = propose_places(call)
    check_glance(seen, proposal_glance(proposal))
    proposed = {row.application.pk: row for row in proposal.rows}
    sent = 0
    for pk, row in proposed.items():
        size = chosen.get(pk, "")
        if not size:
            put_on_waiting_list(application=row.application)
            continue
        is_own = size != row.size
        reason = "Given by hand." if is_own else row.reason
        offer_place(application=row.application, size=size, reason=reason, by_hand=is_own)
        sent += 1
    if unknown := set(chosen) - set(proposed):
        raise PlaceRefused(
            f"{len(unknown)} of these people have answered or left since: look at the list again."
        )
    return sent


def _most_places(quota: PlaceQuota, taken: int, only: str) -> int:
    """Those taken, also where somebody came back to a size that was full, and one more of the size wanted."""
    return max(taken, min(taken + (quota.size == only), quota.at_most))


def _applicant(application: Application, sizes: Sequence[str], pinned: str) -> Applicant:
    """An applicant as the placing sees them."""
    return Applicant(
        key=str(application.pk),
        body_cm={name: mm / MM_PER_CM for name, mm in application.body_mm.items()},
        wishes=tuple(dict.fromkeys(size for size in application.sizes if size in sizes)),
        experience=application.experience,
        pinned=pinned if pinned in sizes else "",
    )


def _per_cm(entries_mm: Iterable[float | None]) -> list[float]:
    """Lengths of the sizes in cm, NaN where a size has none."""
    return [float("nan") if mm is None else mm / MM_PER_CM for mm in entries_mm]
