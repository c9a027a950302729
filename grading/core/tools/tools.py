"""What must hold the widest row: straight hook or needle, cord, circular needle, double points."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

SAME_MM = 1e-6
CORD_HOOK = "cord hook"
STRAIGHT_HOOK = "straight hook"
STRAIGHT_NEEDLES = "straight needles"
CIRCULAR_FLAT = "circular needle, worked flat"
CIRCULAR_ROUND = "circular needle"
SMALL_ROUND = "double points or long loop"

_WORDS = {
    CORD_HOOK: "a Tunisian hook with a cord of {}",
    STRAIGHT_HOOK: "a straight Tunisian hook of {}",
    STRAIGHT_NEEDLES: "straight needles of {}",
    CIRCULAR_FLAT: "a circular needle of {} to work back and forth",
    CIRCULAR_ROUND: "a circular needle of {}",
    SMALL_ROUND: "double-pointed needles (or a circular needle of {} for a long loop)",
}

# Up to the second wording. Never to be changed: records are printed in it.
_OLD_WORDS = {CIRCULAR_FLAT: "a circular needle of {} to work to and fro"}


@dataclass(frozen=True)
class SaleLength:
    """A length on sale: what it measures, and how it is named in both systems of units."""

    length_mm: float
    cm: str
    inches: str


@dataclass(frozen=True)
class ToolLengths:
    """Lengths on sale, shortest first, and the rules; a studio may change them.

    `crowding`: how much wider than a straight tool a piece may be, as stitches push together;
    `circular_crowding`: how much longer than a circular needle a round may be. The others were not
    there in the first wording: how much wider a row may be than a cord or a circular needle worked
    flat, how much longer a round than a needle of the usual length or more, where few needles are
    wanted, that length, which most makers own, and how much longer than a needle shorter than that.
    `widest_crowding` came with the third: how much longer than its needle the widest round may be; and
    `flat_mm`, the shortest circular needle that is asked for to work back and forth.
    """

    straight_hooks: tuple[SaleLength, ...]
    cord_hooks: tuple[SaleLength, ...]
    straight_needles: tuple[SaleLength, ...]
    circulars: tuple[SaleLength, ...]
    long_loop: SaleLength
    crowding: float = 1.2
    circular_crowding: float = 2.0
    cord_crowding: float = 1.25
    flat_crowding: float = 1.5
    round_crowding: float = 2.6
    usual_mm: float = 800.0
    short_crowding: float = 1.8
    widest_crowding: float = 2.2
    flat_mm: float = 600.0


def _lengths(*pairs: tuple[int, int]) -> tuple[SaleLength, ...]:
    """Build lengths from centimetres and the inches they are sold as."""
    return tuple(SaleLength(cm * 10.0, f"{cm} cm", f"{inches} in") for cm, inches in pairs)


# Lists that a studio may change: name, and what it holds.
LENGTH_LISTS = {
    "straight_hooks": "Straight Tunisian hooks",
    "cord_hooks": "Tunisian hooks with a cord",
    "straight_needles": "Straight needles",
    "circulars": "Circular needles",
}

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
    part: str = ""
    """The part that it is for, where it is for one alone."""

    def words(self, units: str, *, is_old: bool = False) -> str:
        """Say it, with the length in the units of the edition (cm, in or both)."""
        told = _OLD_WORDS.get(self.kind, _WORDS[self.kind]) if is_old else _WORDS[self.kind]
        return told.format(self.length_words(units)) + (f" for the {self.part}" if self.part else "")

    def length_words(self, units: str) -> str:
        """Say its length alone."""
        both = f"{self.length.cm} / {self.length.inches}"
        return {"cm": self.length.cm, "in": self.length.inches}.get(units, both)


def advise_for_row(
    width_mm: float | None,
    craft: str,
    lengths: ToolLengths = COMMON_LENGTHS,
    *,
    few: bool = True,
    roomy: bool = True,
) -> ToolAdvice | None:
    """Say what must hold a row of this width, worked back and forth.

    Args:
        width_mm: Widest row; None if unknown.
        craft: "crochet" (one stitch at a time: nothing to hold), "tunisian" or "knitting".
        lengths: Lengths on sale.
        few: Whether stitches may crowd on cords as well, so that fewer lengths are asked for.
        roomy: Whether a circular needle that is turned with is no shorter than is usual for it.

    Returns:
        The advice; None where none is needed or the width is unknown.

    Source: common practice: in Tunisian work every stitch of the row is on the hook, so a piece
    clearly wider than a straight hook needs one with a cord. The tips of a circular needle of 40 cm
    are short, made for small rounds: to work back and forth one takes 60 cm or more (from memory).

    >>> advise_for_row(520.0, "tunisian").words("cm")
    'a Tunisian hook with a cord of 60 cm'
    """
    if width_mm is None or not width_mm > 0 or craft not in ("tunisian", "knitting"):
        return None
    on_cord = width_mm / (lengths.cord_crowding if few else 1.0)
    if craft == "tunisian":
        held = _holding(width_mm, lengths.straight_hooks, lengths.crowding)
        return (
            ToolAdvice(STRAIGHT_HOOK, held)
            if held
            else ToolAdvice(CORD_HOOK, _at_least(on_cord, lengths.cord_hooks))
        )
    held = _holding(width_mm, lengths.straight_needles, lengths.crowding)
    if held:
        return ToolAdvice(STRAIGHT_NEEDLES, held)
    flat = width_mm / (lengths.flat_crowding if few else 1.0)
    return ToolAdvice(
        CIRCULAR_FLAT, _at_least(max(flat, lengths.flat_mm) if roomy else flat, lengths.circulars)
    )


def advise_for_rounds(
    rounds_mm: Sequence[float],
    craft: str,
    lengths: ToolLengths = COMMON_LENGTHS,
    *,
    few: bool = True,
    roomy: bool = True,
) -> tuple[ToolAdvice, ...]:
    """Say what must hold rounds of these lengths.

    Args:
        rounds_mm: Each round that is worked, in mm; one that is unknown (NaN) or 0 gives no advice.
        craft: "crochet" (nothing to hold), "tunisian" or "knitting".
        lengths: Lengths on sale.
        few: Whether stitches may crowd more, so that fewer and commoner lengths are asked for.
        roomy: Whether, of few needles, one is long enough for the widest round to lie well on it.

    Returns:
        Few tools, smallest round first; no circular needle is longer than a round that it works.

    Source: common practice: a circular needle is no longer than the round it works; small rounds need
    double points or a long loop. How far stitches may crowd is common practice, from memory: on
    the few rounds at the wide end of a yoke they lie well up to about twice the needle's length.

    >>> [advice.words("cm") for advice in advise_for_rounds([460.0, 810.0], "knitting")]
    ['a circular needle of 40 cm', 'a circular needle of 80 cm']
    """
    if craft not in ("tunisian", "knitting") or not all(one > 0 for one in rounds_mm) or not rounds_mm:
        return ()
    if craft == "tunisian":
        return (ToolAdvice(CORD_HOOK, _at_least(max(rounds_mm), lengths.cord_hooks)),)
    if few:
        return (_roomy_needles if roomy else _few_needles)(sorted(rounds_mm), lengths)
    advice: list[ToolAdvice] = []
    reached = 0.0
    for round_mm in sorted(rounds_mm):
        fitting = [length for length in lengths.circulars if length.length_mm < round_mm]
        if not fitting:
            advice = [ToolAdvice(SMALL_ROUND, lengths.long_loop)]
        elif round_mm > reached and ToolAdvice(CIRCULAR_ROUND, fitting[-1]) not in advice:
            advice.append(ToolAdvice(CIRCULAR_ROUND, fitting[-1]))
            reached = fitting[-1].length_mm * lengths.circular_crowding
    return tuple(advice)


def _roomy_needles(rounds_mm: Sequence[float], lengths: ToolLengths) -> tuple[ToolAdvice, ...]:
    """Return few circular needles for all rounds but the widest, and a longer one where it would crowd."""
    widest = rounds_mm[-1]
    chosen = _few_needles([one for one in rounds_mm if one < widest - SAME_MM], lengths)
    fitting = [one for one in lengths.circulars if one.length_mm <= widest + SAME_MM]
    if not fitting:
        return _few_needles(rounds_mm, lengths)
    holding = [one for one in fitting if widest <= _roomy_mm(one, lengths) + SAME_MM] or fitting[-1:]
    if any(one.kind == CIRCULAR_ROUND and one.length in holding for one in chosen):
        return chosen
    needle = min(holding, key=lambda one: abs(one.length_mm - lengths.usual_mm))
    return (*chosen, ToolAdvice(CIRCULAR_ROUND, needle))


def _roomy_mm(needle: SaleLength, lengths: ToolLengths) -> float:
    """Return the widest round that lies well on a needle."""
    is_short = needle.length_mm < lengths.usual_mm
    return needle.length_mm * (lengths.short_crowding if is_short else lengths.widest_crowding)


def _few_needles(rounds_mm: Sequence[float], lengths: ToolLengths) -> tuple[ToolAdvice, ...]:
    """Return as few circular needles as hold all rounds, of lengths that most makers own."""
    shortest = lengths.circulars[0].length_mm
    small = [one for one in rounds_mm if one < shortest - SAME_MM]
    chosen = [ToolAdvice(SMALL_ROUND, lengths.long_loop)] if small else []
    left = list(rounds_mm[len(small) :])
    while left:
        fitting = [one for one in lengths.circulars if one.length_mm <= left[0] + SAME_MM]
        held = {one: _reach(one.length_mm, left, lengths) for one in fitting}
        most = max(held.values())
        needles = [one for one in fitting if held[one] == most] if most else fitting[-1:]
        needle = min(needles, key=lambda one: abs(one.length_mm - lengths.usual_mm))
        chosen.append(ToolAdvice(CIRCULAR_ROUND, needle))
        left = left[most:] if most else []  # no longer one is sold
    return tuple(chosen)


def _reach(needle_mm: float, rounds_mm: Sequence[float], lengths: ToolLengths) -> int:
    """Count the rounds, smallest first, that a needle holds; a short cord crowds sooner."""
    crowding = lengths.round_crowding if needle_mm >= lengths.usual_mm else lengths.short_crowding
    return sum(one <= needle_mm * crowding + SAME_MM for one in rounds_mm)


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


def lengths_from(lists: Mapping[str, Sequence[Sequence[float]]]) -> ToolLengths:
    """Return the lengths on sale with some lists changed.

    Args:
        lists: By name of LENGTH_LISTS, pairs of centimetres and of inches as they are sold.

    Returns:
        The common lengths where nothing is changed; inches are names, millimetres count.

    Source: derived.

    >>> lengths_from({"circulars": [[50, 20]]}).circulars
    (SaleLength(length_mm=500.0, cm='50 cm', inches='20 in'),)
    """

    def changed(name: str, common: tuple[SaleLength, ...]) -> tuple[SaleLength, ...]:
        if name not in lists:
            return common
        return tuple(SaleLength(cm * 10.0, f"{cm:g} cm", f"{inches:g} in") for cm, inches in lists[name])

    return replace(
        COMMON_LENGTHS,
        straight_hooks=changed("straight_hooks", COMMON_LENGTHS.straight_hooks),
        cord_hooks=changed("cord_hooks", COMMON_LENGTHS.cord_hooks),
        straight_needles=changed("straight_needles", COMMON_LENGTHS.straight_needles),
        circulars=changed("circulars", COMMON_LENGTHS.circulars),
    )


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
