"""The tools that a graded pattern needs, fabric by fabric: from the rows and rounds that each has to hold."""

import re
from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.errors import FormulaError
from grading.core.formula.formula import parse_formula
from grading.core.pattern.pattern import FabricEntry, PatternFile, YarnSectionEntry
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.numbers import DASH
from grading.core.printing.wording import Voice, as_sentence, by_size, listed, size_by_size
from grading.core.tools.part_rounds import PartStitches, part_stitches
from grading.core.tools.tools import (
    CIRCULAR_FLAT,
    CIRCULAR_ROUND,
    COMMON_LENGTHS,
    SMALL_ROUND,
    ToolAdvice,
    ToolLengths,
    advise_for_rounds,
    advise_for_row,
    us_size,
)

Numbers = NDArray[np.float64]

# Narrow parts that may be worked in rounds where the rest is worked in rows.
_TUBES = re.compile(r"\b(?:sleeve|cuff|leg|foot|hand|thumb)s?\b", re.IGNORECASE)
_ANY = re.compile("")
_ROUNDS, _ROWS = re.compile(r"\brounds?\b", re.IGNORECASE), re.compile(r"\brows?\b", re.IGNORECASE)


@dataclass(frozen=True)
class ToolNeed:
    """The tools for one fabric: what holds its rows or rounds, per size; nothing where any hook does."""

    fabric: FabricEntry
    advice: tuple[tuple[ToolAdvice, ...], ...]


def tool_needs(
    pattern: PatternFile, worked: Mapping[str, Numbers], lengths: ToolLengths = COMMON_LENGTHS
) -> list[ToolNeed]:
    """Say what must hold the rows of each fabric.

    Args:
        pattern: The pattern as read.
        worked: Worked numbers by name, one per size, NaN for none.
        lengths: Lengths on sale.

    Returns:
        One entry per fabric that has a tool, in the order of the pattern. Its rows are the values
        in stitches that its sections of yarn name, divided by its gauge.

    Source: common practice; a fabric counts as worked in the round where its label says so or where
    no step of the pattern speaks of a row, and in Tunisian work as ordinary crochet where its label
    names crochet that is not Tunisian.

    >>> tool_needs(PatternFile("Scarf", "knitting", "cm", "UK", ("one",)), {})
    []
    """
    return [
        _need(pattern, fabric, worked, lengths) for fabric in pattern.fabrics if fabric.tool_mm is not None
    ]


def tool_sentence(need: ToolNeed, voice: Voice, units: str = "cm") -> str:
    """Say what tools a fabric needs, per size where it differs.

    Args:
        need: The tools of one fabric.
        voice: Whom it is for.
        units: cm, in or both.

    Returns:
        One sentence.

    Source: common practice.

    >>> need = ToolNeed(FabricEntry("main", "Plain", 20, 20, 100.0, tool_mm=5.0), ((),))
    >>> tool_sentence(need, Voice(("M",), "crochet", "US"))
    '5 mm (US H-8) hook.'
    """
    kind = "needles" if voice.craft == "knitting" else "hook"
    size = f"{need.fabric.tool_mm:g} mm"
    named = us_size(need.fabric.tool_mm or 0.0, voice.craft)
    if voice.terms == "US" and named:
        imperial = units == "in" and voice.wording > FIRST_WORDING
        size = f"US {named} ({size})" if imperial else f"{size} (US {named})"
    tools = {place: need.advice[place] for place in voice.places}
    return as_sentence(f"{size}: {_told(tools, voice, units)}" if any(tools.values()) else f"{size} {kind}")


def holding_words(need: ToolNeed, voice: Voice, units: str = "cm") -> str:
    """Say what must hold the stitches of a fabric, without a size of needle or hook.

    Args:
        need: The tools of one fabric.
        voice: Whom it is for.
        units: cm, in or both.

    Returns:
        Within a sentence; empty where any needle or hook does.

    Source: common practice.

    >>> need = ToolNeed(FabricEntry("main", "Plain", 20, 20, 100.0), ((),))
    >>> holding_words(need, Voice(("M",), "crochet", "US"))
    ''
    """
    tools = {place: need.advice[place] for place in voice.places}
    return _told(tools, voice, units) if any(tools.values()) else ""


def _told(tools: Mapping[int, Sequence[ToolAdvice]], voice: Voice, units: str) -> str:
    """Say once what every size needs, then what only some need."""
    first, *others = tools.values()
    shared = [one for one in first if all(one in more for more in others)]
    rest = {place: [one for one in more if one not in shared] for place, more in tools.items()}
    texts = {place: _listed(more, voice, units) for place, more in rest.items() if more}
    if not shared:
        return size_by_size(texts, voice)
    also = [f"for {sizes} also {words}" for sizes, words in by_size(texts, voice) if words != DASH]
    return "; ".join([_listed(shared, voice, units), *also])


def _listed(tools: Sequence[ToolAdvice], voice: Voice, units: str) -> str:
    """Tools in one phrase; circular needles are told together, and a long loop takes one of these."""
    is_old = voice.wording <= WIDE_WORDING
    circulars = [one for one in tools if one.kind == CIRCULAR_ROUND and not one.part]
    if is_old or len(circulars) < 2:
        return listed([one.words(units, is_old=is_old) for one in tools])
    told = f"circular needles of {listed([one.length_words(units) for one in circulars])}"
    others = [
        f"double-pointed needles (or the {one.length_words(units)} circular needle for a long loop)"
        if one.kind == SMALL_ROUND and any(one.length == other.length for other in circulars)
        else one.words(units)
        for one in tools
        if one not in circulars
    ]
    return f"{told}, and {listed(others)}" if others else told


def _need(
    pattern: PatternFile, fabric: FabricEntry, worked: Mapping[str, Numbers], lengths: ToolLengths
) -> ToolNeed:
    """Return the tools of one fabric."""
    sections = [section for section in pattern.yarn_sections if section.fabric == fabric.name]
    counts = [worked[name] for name in _stitch_counts(pattern, sections) if name in worked]
    if not counts or is_plain_crochet(fabric, pattern.craft):
        return ToolNeed(fabric, _none(pattern))
    few, craft = pattern.wording > FIRST_WORDING, pattern.craft
    roomy = pattern.wording > WIDE_WORDING
    is_round, is_main = _is_all_rounds(pattern), fabric is pattern.fabrics[0]

    def rounds(of: Sequence[Numbers]) -> list[tuple[ToolAdvice, ...]]:
        widths = (np.array(of) / fabric.stitches_per_mm).T.tolist()
        return [advise_for_rounds(one, craft, lengths, few=few, roomy=roomy) for one in widths]

    if "in the round" in fabric.label.casefold() or is_round:
        small = _shaped_rounds(pattern, worked) if is_round and is_main else []
        return ToolNeed(fabric, tuple(rounds([*counts, *small])))
    parts = part_stitches(pattern) if roomy else PartStitches()
    in_rows = _named(pattern, sections, worked, parts.rounds_alone)
    flat = _flat(pattern, fabric, in_rows, lengths)
    tubes = _shaped_rounds(pattern, worked, of=_TUBES) if roomy and is_main else []
    beside = rounds(tubes) if tubes else _none(pattern)
    larger = parts.rounds_alone - (parts.on_smaller - parts.on_larger)
    of_parts = _of_parts(pattern, fabric, worked, larger, lengths)
    return ToolNeed(fabric, _together(flat, beside, of_parts if in_rows else _of_all(of_parts)))


def smaller_need(
    pattern: PatternFile,
    worked: Mapping[str, Numbers],
    tool_mm: float,
    lengths: ToolLengths = COMMON_LENGTHS,
) -> ToolNeed:
    """Say what must hold the stitches that steps put on a smaller needle than that of the one fabric.

    Args:
        pattern: The pattern as read; it has a fabric.
        worked: Worked numbers by name, one per size, NaN for none.
        tool_mm: How thick the smaller needle is.
        lengths: Lengths on sale.

    Returns:
        Its rows, then each part in rounds by itself; nothing where steps do not say which stitches are on it.

    Source: common practice.
    """
    fabric, parts = replace(pattern.fabrics[0], tool_mm=tool_mm), part_stitches(pattern)
    if pattern.craft == "crochet" or parts.is_untold:
        return ToolNeed(fabric, _none(pattern))
    if _is_all_rounds(pattern):
        rounds = _of_parts(pattern, fabric, worked, parts.on_smaller, lengths)
        return ToolNeed(fabric, _of_all(rounds))
    stitches = {one.name for one in pattern.values if one.kind == "stitches"} | {
        one.name for one in pattern.pick_ups
    }
    rows = [
        worked[name]
        for name in sorted(parts.on_smaller - parts.in_rounds)
        if name in worked.keys() & stitches
    ]
    rounds = _of_parts(pattern, fabric, worked, parts.rounds_alone & parts.on_smaller, lengths)
    return ToolNeed(fabric, _together(_flat(pattern, fabric, rows, lengths), rounds))


Advice = Sequence[tuple[ToolAdvice, ...]]


def _none(pattern: PatternFile) -> tuple[tuple[ToolAdvice, ...], ...]:
    return ((),) * len(pattern.sizes)


def _of_all(advice: Advice) -> tuple[tuple[ToolAdvice, ...], ...]:
    """Advice that is for no part alone."""
    return tuple(tuple(replace(one, part="") for one in of_size) for of_size in advice)


def _together(*advice: Advice) -> tuple[tuple[ToolAdvice, ...], ...]:
    """The advice for rows and for rounds, size by size, each tool once."""
    merged = []
    for of_size in zip(*advice, strict=True):
        tools: list[ToolAdvice] = []
        for tool in (one for part in of_size for one in part):
            is_there = any(
                one.length == tool.length
                and (one.kind == tool.kind or {one.kind, tool.kind} <= {CIRCULAR_FLAT, CIRCULAR_ROUND})
                for one in tools
            )
            tools += [] if is_there else [tool]
        merged.append(tuple(tools))
    return tuple(merged)


def _flat(
    pattern: PatternFile, fabric: FabricEntry, counts: Sequence[Numbers], lengths: ToolLengths
) -> tuple[tuple[ToolAdvice, ...], ...]:
    """What holds the widest row of some counts."""
    if not counts:
        return _none(pattern)
    few, roomy = pattern.wording > FIRST_WORDING, pattern.wording > WIDE_WORDING
    widest = (np.max(np.array(counts), axis=0) / fabric.stitches_per_mm).tolist()
    advice = [advise_for_row(one, pattern.craft, lengths, few=few, roomy=roomy) for one in widest]
    return tuple((one,) if one else () for one in advice)


def _named(
    pattern: PatternFile,
    sections: Sequence[YarnSectionEntry],
    worked: Mapping[str, Numbers],
    less: AbstractSet[str],
) -> list[Numbers]:
    """The counts of sections of yarn, without some."""
    return [worked[name] for name in _stitch_counts(pattern, sections) if name in worked and name not in less]


def _of_parts(
    pattern: PatternFile,
    fabric: FabricEntry,
    worked: Mapping[str, Numbers],
    names: AbstractSet[str],
    lengths: ToolLengths,
) -> Advice:
    """What holds the rounds of the parts whose yarn is counted in this fabric, with their names."""
    found: dict[str, list[Numbers]] = {}
    for section in pattern.yarn_sections:
        counts = [one for one in _stitch_counts(pattern, [section]) if one in names and one in worked]
        if section.fabric == fabric.name and counts:
            found.setdefault(section.name.split(",")[0].lower(), []).extend(worked[one] for one in counts)
    if not found:
        return _none(pattern)
    widths = (np.array([one for part in found.values() for one in part]) / fabric.stitches_per_mm).T.tolist()
    return [
        tuple(replace(one, part=listed([*found])) for one in advise_for_rounds(of, pattern.craft, lengths))
        for of in widths
    ]


def _is_all_rounds(pattern: PatternFile) -> bool:
    """Whether the steps speak of rounds and of no row."""
    words = " ".join(step for section in pattern.sections for step in section.steps)
    return pattern.wording > WIDE_WORDING and bool(_ROUNDS.search(words)) and not _ROWS.search(words)


def _shaped_rounds(
    pattern: PatternFile, worked: Mapping[str, Numbers], of: re.Pattern[str] = _ANY
) -> list[Numbers]:
    """What the rounds of a pattern, or of its sections with such a title, grow or shrink to."""
    told = " ".join(
        step for section in pattern.sections if of.search(section.title) for step in section.steps
    )
    names = [one for one in pattern.shapings if one.rounds and (of is _ANY or f"{{{one.name}" in told)]
    return [
        worked[end] for one in names for end in (one.start, one.end) if isinstance(end, str) and end in worked
    ]


def is_plain_crochet(fabric: FabricEntry, craft: str) -> bool:
    """Whether a fabric of a Tunisian pattern is ordinary crochet, of which the hook holds one stitch."""
    label = fabric.label.casefold()
    return craft == "tunisian" and "crochet" in label and "tunisian" not in label


def _stitch_counts(pattern: PatternFile, sections: Sequence[YarnSectionEntry]) -> list[str]:
    """List the values in stitches that sections are worked over."""
    stitches = {value.name for value in pattern.values if value.kind == "stitches"}
    stitches |= {pick_up.name for pick_up in pattern.pick_ups}
    named: dict[str, None] = {}
    for section in sections:
        try:
            named |= dict.fromkeys(name for name in parse_formula(section.worked).names if name in stitches)
        except FormulaError:  # the section has its own finding
            continue
    return list(named)
