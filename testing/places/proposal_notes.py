"""What a proposal says beside who gets which size: bodies, what would fit too, sizes left empty."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from django.utils import timezone

from testing.access.lengths import length_in
from testing.asked.bodies import SizeBodies
from testing.asked.distances import FARTHEST_CM
from testing.models import PlaceQuota, TestCall
from testing.places.proposals import Proposal, ProposalRow

MM_PER_CM = 10


@dataclass(frozen=True)
class NotedRow:
    """A row of a proposal with the applicant's body, and what would fit them that they did not wish for."""

    row: ProposalRow
    body: list[tuple[str, str]]
    elsewhere: str


def noted_rows(
    proposal: Proposal, bodies: SizeBodies, quotas: Iterable[PlaceQuota], units: str
) -> list[NotedRow]:
    """The rows that a page shows, with their notes; bodies are told in the reader's units."""
    taken = Counter(proposal.placing.placed.values())
    free = {quota.size: quota.at_most - taken[quota.size] for quota in quotas}
    return [
        NotedRow(
            row, body_in_words(bodies, row.application.body_mm, units), _elsewhere(row, bodies, free, units)
        )
        for row in proposal.shown
    ]


def empty_sizes(proposal: Proposal, quotas: Iterable[PlaceQuota]) -> list[str]:
    """The sizes that would not get the testers they need, the empty ones first."""
    taken = Counter(proposal.placing.placed.values())
    short = [(quota, taken[quota.size]) for quota in quotas if taken[quota.size] < quota.at_least]
    empty = [
        f"Size {quota.size} stays empty; it needs {quota.at_least}." for quota, made in short if not made
    ]
    return empty + [f"Size {quota.size} gets {made} of {quota.at_least}." for quota, made in short if made]


def is_early(call: TestCall) -> bool:
    """Whether offers would go out before the day that applicants were told."""
    return call.state == "open" and timezone.localdate() <= call.apply_by


def body_in_words(bodies: SizeBodies, body_mm: Mapping[str, float], units: str) -> list[tuple[str, str]]:
    """Measurements of somebody by their labels, in the reader's units."""
    return [
        (label, length_in(body_mm[name], units)) for name, label in bodies.labels.items() if name in body_mm
    ]


def _elsewhere(row: ProposalRow, bodies: SizeBodies, free: Mapping[str, int], units: str) -> str:
    """Name the size nearest to somebody without a place that has room and is not on their list."""
    if row.size:
        return ""
    open_sizes = [
        size for size in bodies.sizes if free.get(size, 0) > 0 and size not in row.application.sizes
    ]
    distances = _near(open_sizes, bodies, row.application.body_mm)
    if not distances:
        return ""
    size, away = min(distances, key=lambda found: found[1])
    apart = length_in(away * MM_PER_CM, units)
    return f"Size {size} would fit ({apart} away) and has room, but is not among the chosen sizes."


def _near(sizes: Sequence[str], bodies: SizeBodies, body_mm: Mapping[str, float]) -> list[tuple[str, float]]:
    """The sizes that are near enough to a body, with how far they are in cm."""
    distances = [(size, bodies.distance_cm(size, body_mm)) for size in sizes]
    return [(size, cm) for size, cm in distances if cm is not None and cm <= FARTHEST_CM]
