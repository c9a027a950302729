"""The rows of a stitch pattern in words: as the author wrote them, or written from a grid of colours."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from grading.core.pattern.pattern import PatternFile, StitchPatternEntry
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.stitch_patterns.charts import craft_of, side_of
from grading.core.stitch_patterns.grids import GridProblem, grid_rows, plain_stitch, read_grid

_TO_END = re.compile(r"\bto (end|last)\b")


@dataclass(frozen=True)
class WrittenRow:
    """One row: its head, such as “Row 1 (RS)”, and its words in the author's terms."""

    head: str
    text: str


def written_rows(entry: StitchPatternEntry, pattern: PatternFile) -> list[WrittenRow]:
    """Return the rows of a stitch pattern in words.

    Args:
        entry: The stitch pattern.
        pattern: The pattern that it belongs to.

    Returns:
        Row 1 first; none for a grid that can't be read.

    Source: common practice.
    """
    craft = craft_of(entry, pattern)
    texts = list(entry.rows)
    if entry.grid:
        texts = _grid_texts(entry, craft, pattern.home_terms, is_wide=pattern.wording <= WIDE_WORDING)
    return [
        WrittenRow(row_head(entry, craft, number), _sentence(text)) for number, text in enumerate(texts, 1)
    ]


def row_head(entry: StitchPatternEntry, craft: str, number: int) -> str:
    """Return what a row is called.

    Args:
        entry: The stitch pattern.
        craft: Its craft.
        number: The row, from 1.

    Source: common practice.

    >>> row_head(StitchPatternEntry("rib", "Rib", 2, rows=("K1, p1.",)), "knitting", 2)
    'Row 2 (WS)'
    """
    side = side_of(entry, craft, number)
    return f"{'Round' if entry.rounds else 'Row'} {number}" + (f" ({side})" if side else "")


def _sentence(text: str) -> str:
    """A row as a sentence: its first letter large, a full stop at its end."""
    text = " ".join(text.split())
    text = text if text.endswith((".", ")", "!")) else f"{text}."
    at = 1 if text.startswith("*") else 0
    return text[:at] + text[at : at + 1].upper() + text[at + 1 :]


def _grid_texts(entry: StitchPatternEntry, craft: str, terms: str, *, is_wide: bool) -> list[str]:
    """The rows of a grid in words, in the order of work; up to the second wording with whole repeats."""
    try:
        grid = read_grid(entry)
    except GridProblem:
        return []
    ends = grid.start, grid.start + grid.length
    texts = []
    for number, row in enumerate(grid_rows(grid), 1):
        side = side_of(entry, craft, number)
        parts = [row[: ends[0]], row[ends[0] : ends[1]], row[ends[1] :]]
        if side != "WS":
            parts = [part[::-1] for part in reversed(parts)]
        if not is_wide:
            parts[1] = _shortest(parts[1])
        stitch = _stitch_on(entry, craft, terms, side)
        words = _row_words(parts, stitch, craft)
        words = words if is_wide else _TO_END.sub(r"to the \1", words)
        texts.append(_with_turning(words, entry, craft, stitch, terms))
    return texts


def _shortest(repeat: str) -> str:
    """What repeats in one row, which may do so oftener than the whole pattern: “AB” of “ABABAB”."""
    lengths = range(1, len(repeat) + 1)
    return next((repeat[:n] for n in lengths if repeat[:n] * (len(repeat) // n) == repeat), repeat)


def _stitch_on(entry: StitchPatternEntry, craft: str, terms: str, side: str) -> str:
    """The stitch of a row: stocking stitch is purled on the wrong side."""
    if entry.stitch:
        return entry.stitch
    return "p" if craft == "knitting" and side == "WS" else plain_stitch(craft, terms)


def _row_words(parts: Sequence[str], stitch: str, craft: str) -> str:
    """One row: what is before the repeat, the repeat, and what is after it."""
    if len(set("".join(parts))) == 1:
        return _one_colour("".join(parts)[0], stitch, craft)
    before, repeat, after = parts
    if craft == "tunisian":
        before = (before or repeat)[1:]  # the loop on the hook is the first stitch
    count = len(after)
    end = "to end" if not count else "to last st" if count == 1 else f"to last {count} sts"
    words = [_runs(before, stitch, craft), f"*{_runs(repeat, stitch, craft)}; repeat from * {end}"]
    return ", ".join(part for part in [*words, _runs(after, stitch, craft)] if part)


def _one_colour(colour: str, stitch: str, craft: str) -> str:
    """A row in one colour."""
    if craft == "knitting":
        return f"With {colour}, {stitch} to end"
    return f"With {colour}, {stitch} in each st"


def _runs(letters: str, stitch: str, craft: str) -> str:
    """Stitches of one colour after another."""
    runs = [(colour, len(list(run))) for colour, run in groupby(letters)]
    if craft == "knitting":
        return ", ".join(f"{stitch}{count} in {colour}" for colour, count in runs)
    return ", ".join(f"{count} {stitch} in {colour}" for colour, count in runs)


def _with_turning(text: str, entry: StitchPatternEntry, craft: str, stitch: str, terms: str) -> str:
    """A row of single crochet begins with a chain and ends with a turn; Tunisian rows have a return pass."""
    if craft == "tunisian":
        return f"{text}. Return"
    if craft == "crochet" and not entry.rounds and stitch == plain_stitch(craft, terms):
        return f"Ch 1, {text[:1].lower() + text[1:]}, turn"
    return text
