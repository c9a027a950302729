"""What must hold the widest row: straight hook or needle, cord, circular needle, double points."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise

CORD_HOOK = "cord hook"
STRAIGHT_HOOK = "straight hook"
STRAIGHT_NEEDLES = "straight needles"
CIRCULAR_FLAT = "circular needle, worked flat"
CIRCULAR_ROUND = "circular needle"
SMALL_ROUND = "double points or long loop"

_WORDS = {
    CORD_HOOK: "a Tunisian hook with a cord, {} long",
    STRAIGHT_HOOK: "a straight Tunisian hook, {} long",
    STRAIGHT_NEEDLES: "a pair of straight needles, {} long",
    CIRCULAR_FLAT: "a circular needle, {} long, to work to and fro",
    CIRCULAR_ROUND: "a circular needle, {} long",
    SMALL_ROUND: "double-pointed needles, or a circular needle of {} for a long loop",
}


@dataclass(frozen=True)
class SaleLength:
    """A length on sale: what it measures, and how it is named in both systems of units."""

    length_mm: float
    cm: str
    inches: str


@dataclass(frozen=True)
class ToolLengths:
    """Lengths on sale, shortest first, and the rules; a studio may change them.

    `crowding`: how much wider than its tool a piece may be, as stitches push together.
    """

    straight_hooks: tuple[SaleLength, ...]
    cord_hooks: tuple[SaleLength, ...]
    straight_needles: tuple[SaleLength, ...]
    circulars: tuple[SaleLength, ...]
    long_loop: SaleLength
    crowding: float = 1.2


def _lengths(*pairs: tuple[int, int]) -> tuple[SaleLength, ...]:
    """Build lengths from centimetres and the inches they are sold as."""
    return tuple(SaleLength(cm * 10.0, f"{cm} cm", f"{inches} in") for cm, inches in pairs)


# Common practice, from memory: lengths that shops carry; makers differ.
COMMON_LENGTHS = ToolLengths(
    straight_hooks=_lengths((30, 12), (35, 14)),
    cord_hooks=_lengths((60, 24), (80, 32), (100, 40), (120, 47), (150, 60)),
    straight_needles=_lengths((25, 10), (30, 12), (35, 14), (40, 16)),
    circulars=_lengths((40, 16), (60, 24), (80, 32), (100, 40), (120, 47), (150, 60)),
    long_loop=SaleLength(800.0, "80 cm", "32 in"),
)


@dataclass(frozen=True)
class ToolAdvice:
    """What holds the widest row of one piece in one size."""

    kind: str
    length: SaleLength

    def words(self, units: str) -> str:
        """Say it, with the length in the units of the edition (cm, in or both)."""
        both = f"{self.length.cm} / {self.length.inches}"
        return _WORDS[self.kind].format({"cm": self.length.cm, "in": self.length.inches}.get(units, both))


def widest_mm(widths: Sequence[float | None]) -> float | None:
    """Return the widest of the rows of a piece.

    Args:
        widths: Widths in mm, None where unknown.

    Returns:
        The greatest; None where one is unknown or there is none.

    Source: derived.

    >>> widest_mm([400.0, 520.0])
    520.0
    """
    known = [width for width in widths if width is not None]
    return max(known) if known and len(known) == len(widths) else None


def advise_tool(
    width_mm: float | None, craft: str, *, in_round: bool = False, lengths: ToolLengths = COMMON_LENGTHS
) -> ToolAdvice | None:
    """Say what must hold a row of this width.

    Args:
        width_mm: Widest row, or the least round where it is worked in the round; None if unknown.
        craft: "crochet" (one stitch at a time: nothing to hold), "tunisian" or "knitting".
        in_round: Whether it is worked in the round.
        lengths: Lengths on sale.

    Returns:
        The advice; None where none is needed or the width is unknown.

    Source: common practice: in Tunisian work every stitch of the row is on the hook; a circular
    needle is shorter than the round it works; small rounds need double points or a long loop.

    >>> advise_tool(520.0, "tunisian").words("cm")
    'a Tunisian hook with a cord, 60 cm long'
    """
    if width_mm is None or not width_mm > 0 or craft not in ("tunisian", "knitting"):
        return None
    if in_round and craft == "knitting":
        return _for_round(width_mm, lengths)
    if craft == "tunisian":
        held = _holding(width_mm, lengths.straight_hooks, lengths.crowding)
        if held and not in_round:
            return ToolAdvice(STRAIGHT_HOOK, held)
        return ToolAdvice(CORD_HOOK, _at_least(width_mm, lengths.cord_hooks))
    held = _holding(width_mm, lengths.straight_needles, lengths.crowding)
    if held:
        return ToolAdvice(STRAIGHT_NEEDLES, held)
    return ToolAdvice(CIRCULAR_FLAT, _at_least(width_mm, lengths.circulars))


def _for_round(round_mm: float, lengths: ToolLengths) -> ToolAdvice:
    """Advise for a round: the longest circular needle that is shorter than it."""
    fitting = [length for length in lengths.circulars if length.length_mm < round_mm]
    if fitting:
        return ToolAdvice(CIRCULAR_ROUND, fitting[-1])
    return ToolAdvice(SMALL_ROUND, lengths.long_loop)


def _holding(width_mm: float, on_sale: Sequence[SaleLength], crowding: float) -> SaleLength | None:
    """Return the shortest that holds the width, crowded at most so much; None if none does."""
    return next((length for length in on_sale if width_mm <= length.length_mm * crowding), None)


def _at_least(width_mm: float, on_sale: Sequence[SaleLength]) -> SaleLength:
    """Return the shortest that is as long as the width, or the longest there is."""
    return next((length for length in on_sale if width_mm <= length.length_mm), on_sale[-1])


# Craft Yarn Council hook and needle tables, as carried by a general unit-conversion reference
# (2026); needle sizes 000, 00 and 1.5 from memory.
US_HOOKS: Mapping[float, str] = {
    2.25: "B-1",
    2.75: "C-2",
    3.25: "D-3",
    3.5: "E-4",
    3.75: "F-5",
    4.0: "G-6",
    4.5: "7",
    5.0: "H-8",
    5.5: "I-9",
    6.0: "J-10",
    6.5: "K-10.5",
    8.0: "L-11",
    9.0: "M/N-13",
    10.0: "N/P-15",
    15.0: "P/Q",
    19.0: "S",
}
US_NEEDLES: Mapping[float, str] = {
    1.5: "000",
    1.75: "00",
    2.0: "0",
    2.25: "1",
    2.5: "1.5",
    2.75: "2",
    3.25: "3",
    3.5: "4",
    3.75: "5",
    4.0: "6",
    4.5: "7",
    5.0: "8",
    5.5: "9",
    6.0: "10",
    6.5: "10.5",
    8.0: "11",
    9.0: "13",
    10.0: "15",
    12.75: "17",
    15.0: "19",
    19.0: "35",
    25.0: "50",
}


def us_size(tool_mm: float, craft: str) -> str | None:
    """Return the US name of a hook or needle.

    Args:
        tool_mm: Its thickness; millimetres are what counts, the name is an alias.
        craft: "knitting" for needles, else hooks.

    Returns:
        As "H-8" or "8"; None where that thickness has no US name.

    Source: Craft Yarn Council hook and needle tables.

    >>> us_size(5.0, "crochet"), us_size(5.0, "knitting"), us_size(7.0, "knitting")
    ('H-8', '8', None)
    """
    names = US_NEEDLES if craft == "knitting" else US_HOOKS
    return names.get(tool_mm)


def lengths_problem(lengths: ToolLengths) -> str | None:
    """Say why edited lengths cannot be used.

    Args:
        lengths: Lengths as edited by the studio.

    Returns:
        A sentence, or None.

    Source: derived.

    >>> lengths_problem(COMMON_LENGTHS) is None
    True
    """
    lists = (lengths.straight_hooks, lengths.cord_hooks, lengths.straight_needles, lengths.circulars)
    for on_sale in lists:
        if not on_sale:
            return "Each kind of tool needs at least one length on sale."
        if on_sale[0].length_mm <= 0 or any(b.length_mm <= a.length_mm for a, b in pairwise(on_sale)):
            return "Lengths on sale must be above 0 and rise from the shortest to the longest."
    return None if lengths.crowding >= 1 else "“crowding” must be 1 or more."
