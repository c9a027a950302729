"""Necks that may be too tight for a head: the edge of a garment that is closed all round."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import isfinite

import numpy as np

from grading.core.formula.literals import LENGTH_UNITS_MM
from grading.core.grade.joins import JoinLengths
from grading.core.pattern.pattern import JoinEntry, PatternFile
from grading.core.sheet.findings import Finding, warn

# How far the edge of a neck stretches. Source: common practice, from memory: a ribbed neck of 41 cm goes
# over an adult's head, one edged in crochet gives little.
STRETCH = {"knitting": 1.35, "crochet": 1.15, "tunisian": 1.15}
# Source: FootHead data of the R package heplots, 5th centile of 30 adults, as in the size table of heads.
ADULT_HEAD_MM = 550.0
# Heads of children by months of age, in mm: means of the medians of boys and girls. Source: WHO Child Growth
# Standards to 4 years and UK90 at 8 and 12 years, as in the size table of heads; birth and 3 months of the
# former are from memory. Older children have the head of 12 years at least.
CHILD_HEADS_MM = (
    (0, 342.0),
    (3, 400.0),
    (6, 428.0),
    (12, 455.0),
    (24, 477.0),
    (48, 498.0),
    (96, 534.0),
    (144, 547.0),
)
# An age in the label of a size: of “3 to 6 months” the larger.
_AGE = re.compile(r"(\d+)\s*(m|mos?|mths?|months?|y|yrs?|years?)\b", re.IGNORECASE)
# Sizes by letters are those of adults, unless it is said who wears them.
_LETTERS = re.compile(r"\d?X*[SL]|M|\d?X+")
_OPEN = re.compile(
    r"\b(?:(?:left|right) front|buttonholes?|buttons?|zip(?:per)?s?|plackets?|toggles?)\b|hook-and-loop",
    re.IGNORECASE,
)
_SAYS = (
    "The neck is {} round, about {} when it is stretched, and a head measures {}. "
    "Make the neck wider or deeper, or add an opening."
)


def neck_findings(pattern: PatternFile, joins: Mapping[str, JoinLengths]) -> Iterator[Finding]:
    """Find necks that do not go over a head though their edge is stretched.

    Args:
        pattern: The pattern.
        joins: The lengths of its joins, by name.

    Yields:
        A finding (warn) at `joins.NAME` for each size, where all edges that something is joined onto are
        sides called “neck”. A garment that opens is left out, and so are sizes for children of which neither
        a head is measured nor an age known.

    Source: common practice; see the constants.
    """
    if opening_words(pattern):
        return
    per_unit = LENGTH_UNITS_MM[pattern.home_units]
    for join in pattern.joins:
        for one in _over_heads(pattern, join, joins):
            if one.fit == "tight":
                lengths = (one.neck_mm, one.neck_mm * STRETCH[pattern.craft], one.head_mm)
                said = [f"{mm / per_unit:.1f} {pattern.home_units}" for mm in lengths]
                yield warn(f"joins.{join.name}", _SAYS.format(*said), one.size)


@dataclass(frozen=True)
class NeckOverHead:
    """The neck of a size beside the head that goes through it, in mm."""

    size: str
    neck_mm: float
    head_mm: float
    fit: str
    """“goes over”, “stretched” where it goes over only so, or “tight”."""


def necks_over_heads(pattern: PatternFile, joins: Mapping[str, JoinLengths]) -> list[NeckOverHead]:
    """Return the neck and the head of each size of which both are known; the narrowest of several necks.

    Args:
        pattern: The pattern.
        joins: The lengths of its joins, by name.

    Returns:
        One entry for each such size, in size order; lengths in mm.

    Source: common practice; see the constants.
    """
    narrowest: dict[str, NeckOverHead] = {}
    for join in pattern.joins:
        for one in _over_heads(pattern, join, joins):
            if one.size not in narrowest or one.neck_mm < narrowest[one.size].neck_mm:
                narrowest[one.size] = one
    return [narrowest[size] for size in pattern.sizes if size in narrowest]


def has_neck(pattern: PatternFile) -> bool:
    """Whether a garment has a neck: a side of that name."""
    return any(side.name == "neck" for piece in pattern.pieces for side in piece.sides)


def _over_heads(
    pattern: PatternFile, join: JoinEntry, joins: Mapping[str, JoinLengths]
) -> Iterator[NeckOverHead]:
    """The sizes of one neck; nothing where a join is none."""
    heads, stretch = _heads_mm(pattern), STRETCH[pattern.craft]
    if not heads or not _is_neck(join):
        return
    of = joins[join.name]
    for size, edges, onto, head in zip(pattern.sizes, of.edges, of.onto, heads, strict=True):
        neck = float(min(edges, onto))
        if head is not None and isfinite(neck):
            fit = "goes over" if neck >= head else "stretched" if neck * stretch >= head else "tight"
            yield NeckOverHead(size, neck, float(head), fit)


def _is_neck(join: JoinEntry) -> bool:
    """Whether a join closes a neck."""
    return all(re.search(r"\.neck$", one.edge) for one in join.onto)


def opening_words(pattern: PatternFile) -> str:
    """Say where a garment opens, “in front” or “at the neck”; empty where it does not.

    Args:
        pattern: The pattern.

    Returns:
        The words.
    """
    words = [piece.label for piece in pattern.pieces]
    words += [notion.label for notion in pattern.notions]
    words += [step for section in pattern.sections for step in (section.title, *section.steps)]
    found = [match[0].lower() for one in words for match in _OPEN.finditer(one)]
    if any(word.endswith("front") for word in found):
        return "in front"
    return "at the neck" if found else ""


def _heads_mm(pattern: PatternFile) -> tuple[float | None, ...]:
    """The head of each size: as measured, else that of a child of its age, or of a small adult."""
    measured = next((one.entries for one in pattern.body if one.name == "head"), None)
    if measured is not None:
        return measured
    has_letters = all(_LETTERS.fullmatch(size) for size in pattern.sizes)
    if pattern.wearer == "adult" or (pattern.wearer is None and has_letters):
        return (ADULT_HEAD_MM,) * len(pattern.sizes)
    return tuple(head_at_age_mm(size) for size in pattern.sizes)


def head_at_age_mm(size: str) -> float | None:
    """Return the head of a child whose age is the label of a size.

    Args:
        size: The label.

    Returns:
        mm, between ages of which it is known in proportion; None where the label names no age.

    Source: see `CHILD_HEADS_MM`.

    >>> head_at_age_mm("2 years"), head_at_age_mm("6y"), head_at_age_mm("M")
    (477.0, 516.0, None)
    """
    found = _AGE.search(size)
    if found is None:
        return None
    months = int(found[1]) * (1 if found[2].lower().startswith("m") else 12)
    ages, heads = zip(*CHILD_HEADS_MM, strict=True)
    return float(np.interp(months, ages, heads))
