"""Pieces against their steps: are the rows that the steps work as long as the piece that is drawn?"""

import re
from collections.abc import Iterator, Sequence

import numpy as np
from numpy.typing import NDArray

from grading.core.audit.patterns import Line
from grading.core.grade.grade import Graded
from grading.core.pattern.pattern import PieceEntry
from grading.core.sheet.findings import Finding, warn

Lengths = NDArray[np.float64]

# How far the two may be apart: a row that is worked along an edge is drawn with one piece or with the other.
# Source: common practice.
ROWS_APART = 1.5
# What is further apart than this share of its length is drawn with other parts, or worked another way.
# Source: derived.
MOST_APART = 0.15
# So few rows are no hem and no border: they explain nothing.
FEW_ROWS = 2
SIDEWAYS = ("left to right", "right to left")


def worked_piece_findings(lines: Sequence[Line], graded: Graded) -> Iterator[Finding]:
    """Warn of pieces whose rows, as the steps work them, are longer or shorter than they are drawn.

    Args:
        lines: The lines of the count audit.
        graded: The pattern as worked out.

    Yields:
        Findings (warn) at `pieces.NAME`, for sections that bear the label of a piece and whose rows are known
        in every size. A border, a hem or a yoke that is drawn with the piece and worked elsewhere is one of
        the lengths of the sheet: what it explains is not told.

    Source: derived: so many rows at the gauge of their fabric are so long.
    """
    row_mm = max((1 / one.rows_per_mm for one in graded.pattern.fabrics if one.rows > 0), default=0.0)
    for place, section in enumerate(graded.pattern.sections):
        piece = _drawn(section.title, graded)
        if piece is None or not row_mm:
            continue
        for worked in _worked(lines, place, len(graded.sizes)):
            ways = _apart(worked, piece, graded)
            if any(_fits(off, row_mm, graded) for off in ways):
                continue
            off = min(ways, key=lambda one: float(np.abs(one).max()))
            if np.all(np.abs(off) <= MOST_APART * worked):
                size = int(np.argmax(np.abs(off)))
                rows_cm, drawn_cm = worked[size] / 10, (worked[size] + off[size]) / 10
                says = (
                    f"The rows of “{section.title}” make {rows_cm:.1f} cm in size {graded.sizes[size]}, "
                    f"without borders worked elsewhere. Its drawing is {drawn_cm:.1f} cm long: check both."
                )
                yield warn(f"pieces.{piece.name}", says)
                break


def _drawn(title: str, graded: Graded) -> PieceEntry | None:
    """The one piece that bears the label of a section, if the whole of it is worked there."""
    label = _plain(title)
    found = [one for one in graded.pattern.pieces if _plain(one.label) == label and not one.when]
    parts = [one for one in graded.pattern.sections if _plain(one.title).startswith(label)]
    return found[0] if len(found) == 1 and len(parts) == 1 and label else None


def _plain(label: str) -> str:
    """A label in small letters, of one piece, without what stands in brackets or follows a comma."""
    return re.sub(r"\(.*?\)", "", label.lower()).split(",")[0].split(";")[0].strip().removesuffix("s")


def _worked(lines: Sequence[Line], section: int, sizes: int) -> Iterator[Lengths]:
    """The length of the rows of a section in mm, one per size, for each of its ends that is known."""
    of_section = [one for one in lines if one.section == section]
    for options in dict.fromkeys(one.options for one in of_section):
        reached = [one for one in of_section if set(one.options) <= set(options)]
        last: list[float | None] = [None] * sizes
        for line in reached:
            last = [
                now.length if now.audited else before for now, before in zip(line.sizes, last, strict=True)
            ]
        if reached and None not in last:
            yield np.array(last, dtype=np.float64)


def _apart(worked: Lengths, piece: PieceEntry, graded: Graded) -> list[Lengths]:
    """By how much the drawing is longer than the rows, in mm; both ways where its direction is not told."""
    corners = graded.pieces[piece.name]
    across, along = np.moveaxis(corners.max(axis=1) - corners.min(axis=1), -1, 0)
    drawn = [along, across] if piece.direction is None else [across if piece.direction in SIDEWAYS else along]
    return [length - worked for length in drawn]


def _fits(off: Lengths, row_mm: float, graded: Graded) -> bool:
    """Whether a difference is none, or a length or a number of rows of the sheet, in every size."""
    if np.all(np.abs(off) <= ROWS_APART * row_mm):
        return True
    for one in graded.pattern.values:
        worked = graded.values[one.name].worked
        lengths = [worked] if one.kind == "length" else []
        if one.kind == "rows" and np.all(worked > FEW_ROWS):
            lengths = [worked / fabric.rows_per_mm for fabric in graded.pattern.fabrics if fabric.rows > 0]
        if any(np.all(np.abs(np.abs(off) - length) <= row_mm / 2) for length in lengths):
            return True
    return False
