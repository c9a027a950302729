"""Stripes: the colour of each row and each colour's share of the yarn."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from itertools import chain, pairwise, repeat

TOLERANCE = 1e-9

ROW_START = "row start"
RETURN_PASS = "return pass"  # noqa: S105 – a pass of Tunisian work, no secret

# Until a swatch has been measured, both passes of a row are taken to use the same yarn.
UNMEASURED_FORWARD_SHARE = 0.5


@dataclass(frozen=True)
class StripeRepeat:
    """Colours and their rows, repeated; how the colour is changed."""

    runs: tuple[tuple[str, int], ...]
    change: str = ROW_START
    forward_share: float = UNMEASURED_FORWARD_SHARE

    @property
    def colours(self) -> list[str]:
        """The colours, in order of first use."""
        return list(dict.fromkeys(colour for colour, _ in self.runs))


@dataclass(frozen=True)
class StripeRow:
    """One row: the colour it is worked in and the colour of its return pass."""

    row: int
    colour: str
    return_colour: str

    @property
    def blended(self) -> bool:
        """Whether the row shows two colours."""
        return self.colour != self.return_colour


@dataclass(frozen=True)
class StripePlan:
    """The rows of one size and each colour's share; `rows` is None where nothing can be said."""

    rows: tuple[StripeRow, ...] | None
    problem: str | None = None
    shares: Mapping[str, float] = field(default_factory=dict)

    @property
    def row_counts(self) -> dict[str, int]:
        """Rows worked in each colour."""
        counts: dict[str, int] = {}
        for row in self.rows or ():
            counts[row.colour] = counts.get(row.colour, 0) + 1
        return counts


def plan_stripes(sequence: StripeRepeat, rows: float | None, start: float | None = 0) -> StripePlan:
    """Lay a stripe sequence over the rows of one size.

    Args:
        sequence: What is repeated.
        rows: Rows of the section, a whole number of 1 or more.
        start: Rows of the sequence already used, a whole number of 0 or more.

    Returns:
        The rows in working order and each colour's share of the yarn (0 to 1, adding up to 1), one
        entry for every colour of the sequence. With "return pass" each row gives `forward_share` of
        its yarn to its own colour and the rest to the colour of the next row; the last keeps all.

    Source: common practice for the change on the return pass; shares derived.

    >>> plan_stripes(StripeRepeat((("A", 2), ("B", 1)), "return pass", 0.5), 4).shares
    {'A': 0.75, 'B': 0.25}
    """
    if rows is None or start is None or not math.isfinite(rows) or not math.isfinite(start):
        return StripePlan(None)
    problem = _problem_of(sequence, rows, start)
    if problem:
        return StripePlan(None, problem)
    colours = row_colours(sequence, round(rows), round(start))
    after = [*colours[1:], colours[-1]] if sequence.change == RETURN_PASS else colours
    worked = tuple(StripeRow(i + 1, *pair) for i, pair in enumerate(zip(colours, after, strict=True)))
    return StripePlan(worked, None, _shares(sequence, worked))


def row_colours(sequence: StripeRepeat, rows: int, start: int = 0) -> list[str]:
    """Return the colour of each row.

    Args:
        sequence: What is repeated; it has at least one row.
        rows: Number of rows.
        start: Rows of the sequence already used.

    Returns:
        One colour per row.

    Source: derived.

    >>> row_colours(StripeRepeat((("A", 2), ("B", 1))), 4, start=1)
    ['A', 'B', 'A', 'A']
    """
    once = list(chain.from_iterable(repeat(colour, times) for colour, times in sequence.runs))
    return [once[(start + i) % len(once)] for i in range(rows)]


def neighbours(plan: StripePlan) -> list[tuple[str, str]]:
    """List the pairs of colours that meet in a piece.

    Args:
        plan: The stripes of one size.

    Returns:
        Each pair once, in alphabetical order within the pair, by first meeting.

    Source: derived.

    >>> neighbours(plan_stripes(StripeRepeat((("B", 1), ("A", 1))), 4))
    [('A', 'B')]
    """
    colours = [row.colour for row in plan.rows or ()]
    pairs = [(min(pair), max(pair)) for pair in pairwise(colours)]
    return list(dict.fromkeys((one, other) for one, other in pairs if one != other))


def _shares(sequence: StripeRepeat, rows: Sequence[StripeRow]) -> dict[str, float]:
    """Add up each colour's share of the yarn of all rows."""
    totals = dict.fromkeys(sequence.colours, 0.0)
    for row in rows:
        own = sequence.forward_share if row.blended else 1.0
        totals[row.colour] += own
        totals[row.return_colour] += 1.0 - own
    return {colour: total / len(rows) for colour, total in totals.items()}


def _problem_of(sequence: StripeRepeat, rows: float, start: float) -> str | None:
    """Say why these stripes cannot be laid out, or None."""
    for word, number, least in (("rows", rows, 1), ("start", start, 0)):
        if abs(number - round(number)) > TOLERANCE:
            return f"“{word}” must be a whole number, not {number:g}."
        if round(number) < least:
            return f"“{word}” must be {least} or more, not {number:g}."
    if not sequence.runs or min(times for _, times in sequence.runs) < 1:
        return "Each colour of a stripe sequence needs 1 row or more."
    if not 0 <= sequence.forward_share <= 1:
        return f"“forward_share” must lie between 0 and 1, not {sequence.forward_share:g}."
    return None
