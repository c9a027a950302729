"""Joins in words: what is joined to what, at which rates, and how long the edges are."""

import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from grading.core.grade.joins import JoinLengths
from grading.core.instructions.facts import Facts
from grading.core.pattern.parts import JOIN_TOLERANCE
from grading.core.pattern.pattern import JoinEdge, JoinEntry, PickUpEntry
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.measures import print_measure
from grading.core.printing.wording import listed

# Pick-ups of a join, each with how often it is there.
_Picked = Sequence[tuple[PickUpEntry, int]]
# Labels of pieces that are there more than once, and what such a label says of which one is drawn.
_MADE_OFTEN = re.compile(
    r"\bmake \d|\bmirrors?\b|\bsleeve|\bpocket|\bmitten|\bcuff|^(?:one|left|right)\b", re.IGNORECASE
)
_ONE_OF = re.compile(r"^(?:one|left|right) ")
# What stands after the name of a piece in its label, such as "; the right mirrors it" or " (make 2)".
_AFTERWARDS = re.compile(r"[;(]")


def both_lengths(
    join: JoinEntry, lengths: JoinLengths, facts: Facts, form: tuple[PrintForm, Sequence[int]]
) -> str:
    """How long a join is; both edges of pieces where one is longer. Stitches picked up have their rate.

    As “45 cm”, “90 cm altogether” of edges that are there twice, or “41 cm spread evenly along 45 cm”. Edges
    that may differ by more than the usual tolerance are worked on, and their step tells how.
    """
    onto = _lengths(lengths.onto, form, facts.pattern.wording)
    if facts.pattern.wording <= WIDE_WORDING:
        return onto
    told = f"{onto} altogether" if any(edge.times > 1 for edge in join.onto) else onto
    if not all(_side_words(edge, facts, form[0]) for edge in join.edges):
        return told
    first = _lengths(lengths.edges, form, facts.pattern.wording)
    if first == onto:
        return told
    if join.tolerance > JOIN_TOLERANCE:
        return f"{first} on the first edge and {onto} on the other, each lying flat"
    return f"{first} spread evenly along {onto}"


def _lengths(lengths_mm: NDArray[np.float64], form: tuple[PrintForm, Sequence[int]], wording: int) -> str:
    """Lengths in every size, in the units of the edition."""
    edition, kept = form
    return print_measure(edition, "length", [float(mm) for mm in lengths_mm], kept, wording)


def joined_words(join: JoinEntry, facts: Facts, edition: PrintForm) -> str:
    """What is joined to what: sides of pieces by their names, pick-ups by their rates.

    A length of the sheet is a strip or an edge that no drawing has: the join's own label names it. How often
    a pick-up is there is told where it is not once for each edge that it is along.
    """
    picked = [
        (one, edge.times) for edge in join.edges for one in facts.pattern.pick_ups if one.name == edge.edge
    ]
    sides = [words for edge in join.edges if (words := _side_words(edge, facts, edition))]
    is_wide = facts.pattern.wording <= WIDE_WORDING
    places = [_side_words(edge, facts, edition) or f"the {_length_words(edge, facts)}" for edge in join.onto]
    onto = _listed(places) if is_wide or len(set(places)) < len(places) else listed(places)
    if picked:
        along = sum(edge.times for edge in join.onto)
        rates = _old_rates(picked, along) if is_wide else _rates_words(picked, along)
        beside = f"{_listed(sides)} and stitches " if sides else ""
        # An edge that is given by its stitches alone has no rate: its step tells how they are worked.
        has_others = len(picked) + len(sides) < len(join.edges) and not is_wide
        rest = " along a part; the steps say how many along the rest" if has_others else ""
        # A crocheter works a row along an edge: only needles and long hooks take up its loops.
        is_worked = facts.craft == "crochet" and not is_wide
        return f"{beside}{'worked' if is_worked else 'picked up'} along {onto}, {rates}{rest}"
    return f"{_listed(sides)} to {onto}" if sides else f"to {onto}"


def _old_rates(picked: _Picked, along: int) -> str:
    """Rates up to the second wording. Never to be changed: records are printed so."""
    return _listed(
        [
            _rate(one) + (f" ({_times(times)})" if times > 1 and times != along else "")
            for one, times in picked
        ]
    )


def _rates_words(picked: _Picked, along: int) -> str:
    """Rates, each once, with on how many edges; a rate that is of all edges that are named says no more."""
    edges: dict[str, int] = {}
    for one, times in picked:
        edges[_rate_words(one)] = edges.get(_rate_words(one), 0) + times
    return listed(
        [
            f"{words} (on {times} edges)" if times > 1 and not (times == along and len(edges) == 1) else words
            for words, times in edges.items()
        ]
    )


def _listed(words: Sequence[str]) -> str:
    """Words one after another, each once, with how often it is there."""
    counted = {word: words.count(word) for word in words}
    return " and ".join(word if often == 1 else f"{word} ({often} times)" for word, often in counted.items())


def _side_words(edge: JoinEdge, facts: Facts, edition: PrintForm) -> str:
    """A side of a piece as people call it; empty for what is none."""
    owner, _, side = edge.edge.rpartition(".")
    if not owner:
        return ""
    piece = next((one for one in facts.pattern.pieces if one.name == owner), None)
    whole = facts.plain(piece.label, edition) if piece else owner.replace("_", " ")
    label = short_label(whole)
    label = f"{label[:1].lower()}{label[1:]}"
    name = side.replace("_", " ")
    if facts.pattern.wording > WIDE_WORDING:
        of = _piece_words(whole, label, edge.times).replace(", ", " (", 1)
        return f"{_side_named(name, edge.times)} of {of}{')' if ' (' in of else ''}"
    often = f", {_times(edge.times)}" if edge.times > 1 else ""
    return f"the {name} of the {label}{often}"


def _side_named(name: str, times: int) -> str:
    """A side that is there once or several times.

    >>> _side_named("half underarm", 1), _side_named("half underarm", 2), _side_named("neck", 2)
    ('half the underarm', 'both halves of the underarm', 'the neck')
    """
    if not name.startswith("half "):
        return f"the {name}"
    of = name.removeprefix("half ")
    return f"half the {of}" if times == 1 else f"both halves of the {of}" if times == 2 else f"the {name}"


def _piece_words(whole: str, label: str, times: int) -> str:
    """A piece in a sentence: “one front”, “each front”, “the body, back and front”, “the back, twice”."""
    if times == 1:
        return label if label.startswith("one ") else f"the {label}"
    if " or " in label:
        return f"the {label.replace(' or ', ' and ')}"
    if _MADE_OFTEN.search(whole):
        return f"each {_ONE_OF.sub('', label)}"
    return f"the {label}, {_times(times)}"


def _times(times: int) -> str:
    """How often an edge is there."""
    return "twice" if times == 2 else f"{times} times"


def _length_words(edge: JoinEdge, facts: Facts) -> str:
    """A length of the sheet, or a pick-up, that something is joined to."""
    label = facts.labels.get(edge.edge, edge.edge.replace("_", " "))
    label = label.removesuffix(", stitches")
    return f"{label[:1].lower()}{label[1:]}"


def short_label(label: str) -> str:
    """A piece's label without what stands after it, such as “; the right mirrors it” or “ (make 2)”."""
    return _AFTERWARDS.split(label)[0].strip()


def _rate_words(picked: PickUpEntry) -> str:
    """How many stitches are picked up in each of what, or for how many."""
    each = {"row ends": "row end", "stitches": "stitch"}.get(picked.along)
    return f"{picked.stitches} in each {each}" if picked.per == 1 and each else _rate(picked)


def _rate(picked: PickUpEntry) -> str:
    """How many stitches are picked up for how many of what."""
    if picked.per > 1:
        return f"{picked.stitches} for every {picked.per} {picked.along}"
    return f"{picked.stitches} for each of the {picked.along}"
