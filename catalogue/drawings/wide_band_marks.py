"""What stood beside a band of stripes up to the second wording.

Never to be changed: records are printed with it.
"""

from collections.abc import Mapping, Sequence

from catalogue.drawings.band_marks import HIGH_MM, BandMarks, BandText, Stripe, row_numbers, ticks_of
from catalogue.drawings.nests import LETTER_WIDTH


def wide_marks(
    stripes: Sequence[Stripe],
    rows: int,
    last_rows: Mapping[str, int],
    look: tuple[Sequence[str], float, float],
) -> BandMarks:
    """Letters above a band, each colour at its own height; row numbers below, and sizes below these.

    `look` is the order of the colours, how wide a row is drawn, and the height of the type.
    """
    columns, row_mm, type_mm = look
    step = type_mm * 0.95
    ends, deepest = _ends(last_rows, row_mm, type_mm)
    numbers = row_numbers(rows, row_mm, type_mm)
    return BandMarks(
        letters=tuple(
            BandText(colour, round(middle, 2), round(-step * (columns.index(colour) + 0.6), 2))
            for colour, middle in stripes
        ),
        numbers=tuple(numbers),
        ends=ends,
        ticks=ticks_of(numbers),
        across="",
        down="".join(_end_mark(one, type_mm) for one in ends),
        top=-step * (len(columns) + 0.3),
        foot=deepest,
    )


def _end_mark(end: BandText, type_mm: float) -> str:
    """A line down to a size, broken where the numbers of rows stand."""
    below = HIGH_MM + 1.2 + type_mm * 1.15
    foot = end.y - type_mm * 0.6
    return f"M{end.x} 0V{HIGH_MM:g}" + (f"M{end.x} {below:.2f}V{foot:.2f}" if foot > below else "")


def _ends(last_rows: Mapping[str, int], row_mm: float, type_mm: float) -> tuple[tuple[BandText, ...], float]:
    """The sizes where they end, on as few lines as keep them apart, and how far down the lowest stands."""
    by_rows: dict[int, list[str]] = {}
    for size, rows in last_rows.items():
        by_rows.setdefault(rows, []).append(size)
    ends: list[BandText] = []
    lines: list[float] = []
    first = HIGH_MM + 1.2 + type_mm * 1.8
    for last, sizes in sorted(by_rows.items()):
        text, x = ", ".join(sizes), last * row_mm
        half = (len(text) + 1) * LETTER_WIDTH * type_mm / 2
        line = next((at for at, until in enumerate(lines) if x - half >= until), len(lines))
        lines[line : line + 1] = [x + half]
        ends.append(BandText(text, round(x, 2), round(first + line * type_mm * 1.15, 2)))
    return tuple(ends), first + len(lines) * type_mm * 1.15
