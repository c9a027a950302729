"""Patterns of colours on a hat that is worked up from its edge: where they lie is told by the steps."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from catalogue.drawings.laid_wholes import BRIM, HAT, LaidPiece
from catalogue.drawings.nests import Paper
from catalogue.drawings.worn_pieces import Points, is_made, sample_choices
from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import SectionEntry, StitchPatternEntry

# "Work {band_rounds} rounds in {saltings}": so many rounds of it; other rounds in these steps lie below it.
_ROUNDS = re.compile(r"(?:(\d+)|\{(\w+)\}) rounds?\b")
_ROUNDS_OF_IT = re.compile(r"(?:(\d+)|\{(\w+)\}) rounds? (?:in|of) $")
# Steps for some sizes or choices alone.
_CONTAINER = ":::"


@dataclass(frozen=True)
class ColourBands:
    """The stitches of other colours as a path in mm of paper, and the labels of patterns that it shows."""

    path: str = ""
    drawn: tuple[str, ...] = ()


def colour_bands(facts: Facts, laid: Sequence[LaidPiece], on_paper: Paper, place: int) -> ColourBands:
    """The patterns of colours of a hat in the size at `place`, as far as its steps tell where each begins."""
    hat = next((one for one in laid if one.role == HAT), None)
    if hat is None:
        return ColourBands()
    brim = next((one for one in laid if one.role == BRIM), None)
    foot_mm = float(hat.edge[:, 1].min() if brim is None else brim.edge[:, 1].max())
    paths, drawn = [], []
    for entry in coloured(facts):
        found = _rounds_of(facts, entry, place, has_brim=brim is not None)
        cells = "" if found is None else "".join(_cells(facts, entry, hat, on_paper, foot_mm, found))
        if cells:
            paths.append(cells)
            drawn.append(entry.label)
    return ColourBands("".join(paths), tuple(drawn))


def coloured(facts: Facts) -> list[StitchPatternEntry]:
    """The stitch patterns of more than one colour."""
    return [one for one in facts.pattern.stitch_patterns if len(set("".join(one.grid))) > 1]


def _rounds_of(
    facts: Facts, entry: StitchPatternEntry, place: int, *, has_brim: bool
) -> tuple[float, float] | None:
    """The rounds below a pattern, above the brim, and its own; None where no step tells."""
    named, made = f"{{{entry.name}}}", sample_choices(facts.pattern)
    before: list[SectionEntry] = []
    for section in (one for one in facts.pattern.sections if is_made(one.when, made)):
        at = next((at for at, step in enumerate(section.steps) if named in step), None)
        if at is None:
            before.append(section)
            continue
        if [BRIM in one.title.casefold() for one in before] != [True] * has_brim:
            return None
        below, step = section.steps[:at], section.steps[at]
        if any(_CONTAINER in one and _ROUNDS.search(one) for one in (*below, step)):
            return None
        words = step.partition(named)[0]
        own = _ROUNDS_OF_IT.search(words)
        if own is None:
            return None
        counts = [_count(facts, one, place) for text in (*below, words) for one in _ROUNDS.finditer(text)]
        known = [count for count in counts if count is not None]
        return (sum(known[:-1]), known[-1]) if len(known) == len(counts) else None
    return None


def _count(facts: Facts, found: re.Match[str], place: int) -> float | None:
    """A number of rounds as typed, or that of a line in the size at `place`."""
    if found[1]:
        return float(found[1])
    number = facts.row(found[2])[place]
    return None if number is None else float(number)


def _cells(
    facts: Facts,
    entry: StitchPatternEntry,
    hat: LaidPiece,
    on_paper: Paper,
    foot_mm: float,
    found: tuple[float, float],
) -> Iterator[str]:
    """The stitches not of the colour of most, those side by side as one; row 1 is the lowest line."""
    fabrics = facts.pattern.fabrics
    fabric = next((one for one in fabrics if one.label == entry.label), fabrics[0])
    stitch_mm, row_mm = 1 / fabric.stitches_per_mm, 1 / fabric.rows_per_mm
    most = Counter("".join(entry.grid)).most_common(1)[0][0]
    below, rounds = found
    for row in range(round(rounds)):
        y = foot_mm + (below + row) * row_mm
        ends = _across(hat.edge, y + row_mm / 2)
        if ends is None:
            return
        left, right = ends
        line = entry.grid[-1 - row % len(entry.grid)]
        others = [line[at % len(line)] != most for at in range(int((right - left) / stitch_mm + 1e-6))]
        edges = np.flatnonzero(np.diff([False, *others, False]))
        for start, end in zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True):
            corner = np.array([[left + start * stitch_mm, y + row_mm]])
            x, top = on_paper(corner)[0].tolist()
            wide, high = (end - start) * stitch_mm / on_paper.scale, row_mm / on_paper.scale
            yield f"M{x:.2f} {top:.2f}h{wide:.2f}v{high:.2f}h{-wide:.2f}z"


def _across(edge: Points, y: float) -> tuple[float, float] | None:
    """Where a level line at a height enters a closed edge and leaves it; None where it does not just once."""
    after = np.roll(edge, -1, axis=0)
    crossed = (edge[:, 1] <= y) != (after[:, 1] <= y)
    if crossed.sum() != 2:
        return None
    start, end = edge[crossed], after[crossed]
    x = start[:, 0] + (y - start[:, 1]) / (end[:, 1] - start[:, 1]) * (end[:, 0] - start[:, 0])
    return float(x.min()), float(x.max())
