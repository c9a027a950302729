"""Bars of stripes: the rows of one size, first row at the bottom, each colour with its letter beside it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from catalogue.drawings.nests import LETTER_WIDTH, Frame, frame_of
from grading.core.yarn.stripes import StripeRow

WIDTH_MM = 8.5
ROW_MM = 1.6
HIGHEST_MM = 84.0
TYPE_MM = 2.4
# Strands of a blended row are this far apart.
PITCH_MM = 1.6


@dataclass(frozen=True)
class Fill:
    """All rows of one colour as one path, or the strands of the next colour in blended rows."""

    d: str
    colour: str
    dash: str = ""
    width_mm: float = 0.0


@dataclass(frozen=True)
class StripeLetter:
    """The letter of a colour beside its stripe."""

    letter: str
    x: float
    y: float


@dataclass(frozen=True)
class StripeBar:
    """The stripes of one size, first row at the bottom."""

    frame: Frame
    size: str
    rows: int
    fills: tuple[Fill, ...]
    marks: tuple[StripeLetter, ...]
    outline: str
    type_mm: float


def draw_bar(
    size: str,
    rows: Sequence[StripeRow],
    forward_share: float,
    colours: Mapping[str, str],
    look: tuple[float, float],
) -> StripeBar:
    """Draw the rows of one size, each colour as one path."""
    row_mm, type_mm = look
    height = len(rows) * row_mm
    runs = [(colour, list(run)) for colour, run in groupby(rows, key=lambda row: row.colour)]
    columns = list(colours)
    step = type_mm * 0.95
    marks = [
        StripeLetter(colour, round(WIDTH_MM + 1 + columns.index(colour) * step, 2),
             round(height - (run[0].row - 1 + len(run) / 2) * row_mm, 2))
        for colour, run in runs
    ]  # fmt: skip
    last, run = runs[-1]
    end = f"ends with {len(run)} row{'' if len(run) == 1 else 's'} of {last}"
    room = (0.5 + max(len(letter) for letter in columns)) * type_mm * LETTER_WIDTH
    box = (-0.3, -1.2, WIDTH_MM + 1 + (len(columns) - 1) * step + room, height + 1.2)
    return StripeBar(
        frame=frame_of(box, f"Stripes of size {size}: {len(rows)} rows from the bottom up, {end}"),
        size=size,
        rows=len(rows),
        fills=(*_plain_fills(runs, colours, height, row_mm),
               *_blended_fills(rows, forward_share, colours, (height, row_mm))),
        marks=tuple(marks),
        outline=f"M0 0H{WIDTH_MM:g}V{height:.2f}H0Z",
        type_mm=type_mm,
    )  # fmt: skip


def _plain_fills(
    runs: Sequence[tuple[str, Sequence[StripeRow]]], colours: Mapping[str, str], height: float, row_mm: float
) -> Iterator[Fill]:
    """The stripes, merged into one path for each colour."""
    paths: dict[str, str] = {}
    for colour, run in runs:
        low, high = height - (run[0].row - 1) * row_mm, height - run[-1].row * row_mm
        paths[colour] = paths.get(colour, "") + f"M0 {low:.2f}H{WIDTH_MM:g}V{high:.2f}H0Z"
    for colour, path in paths.items():
        yield Fill(path, colours[colour])


def _blended_fills(
    rows: Sequence[StripeRow], forward_share: float, colours: Mapping[str, str], at: tuple[float, float]
) -> Iterator[Fill]:
    """The strands of the next colour in rows that are blended, in their share of the row."""
    height, row_mm = at
    strand = PITCH_MM * (1 - forward_share)
    paths: dict[str, str] = {}
    for row in rows:
        if row.blended and strand > 0:
            y = height - (row.row - 0.5) * row_mm
            paths[row.return_colour] = paths.get(row.return_colour, "") + f"M0 {y:.2f}H{WIDTH_MM:g}"
    for colour, path in paths.items():
        yield Fill(path, colours[colour], f"{strand:.2f} {PITCH_MM - strand:.2f}", row_mm)
