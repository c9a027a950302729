"""Bands of stripes: the rows of all sizes in one strip, row 1 on the left, a mark where each size ends."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from catalogue.drawings.nests import LETTER_WIDTH, Frame, frame_of
from grading.core.yarn.stripes import StripePlan, StripeRow

LONGEST_MM, HIGH_MM, MOST_ROW_MM = 152.0, 11.0, 2.4
# Row numbers stand at every so many rows, the fewest that have room.
NUMBERED = (5, 10, 20, 50, 100)
UNKNOWN = "#ffffff"
DARK, LIGHT = "#2b241d", "#ffffff"
# How the colours are drawn over, the first not at all: lines along the rows (dashes), or across them.
TEXTURES = (
    *(("", ""), ("along", ""), ("across", ""), ("along", "0.3 0.9"), ("both", ""), ("along", "2 0.8")),
    *(("across", "0.3 0.9"), ("both", "0.3 0.9"), ("across", "2 0.8"), ("both", "2 0.8")),
    *((way, "2 0.6 0.3 0.6") for way in ("along", "across", "both")),
)
PITCH_MM = 1.5
LIGHTEST_DARK = 140.0  # luma of 255, from which on a texture is drawn dark


@dataclass(frozen=True)
class BandFill:
    """All stripes of one colour, and what is drawn over them so that they are told apart without it."""

    d: str
    colour: str
    texture: str
    ink: str
    dash: str


@dataclass(frozen=True)
class BandText:
    """A letter, a row number or a size beside the band."""

    text: str
    x: float
    y: float


@dataclass(frozen=True)
class StripeBand:
    """The stripes of sizes that begin alike."""

    frame: Frame
    sizes: tuple[str, ...]
    fills: tuple[BandFill, ...]
    letters: tuple[BandText, ...]
    numbers: tuple[BandText, ...]
    ends: tuple[BandText, ...]
    ticks: str
    end_marks: str
    outline: str
    type_mm: float


def draw_bands(
    plans: Sequence[tuple[str, StripePlan]], colours: Mapping[str, str], type_mm: float
) -> tuple[StripeBand, ...]:
    """The bands of one part: sizes of which one goes on where the other ends share a band."""
    together: list[list[tuple[str, tuple[StripeRow, ...]]]] = []
    for size, plan in plans:
        rows = plan.rows or ()
        for band in together:
            if _begins(max((other for _, other in band), key=len), rows):
                band.append((size, rows))
                break
        else:
            together.append([(size, rows)])
    return tuple(_band(band, colours, type_mm) for band in together)


def swatch(colour: str, place: int) -> BandFill:
    """The sample of a colour in the key, six by three and a half millimetres, drawn over as in the band."""
    return _fill(colour, place, [(0.2, 5.8)], (0.2, 3.2))


def _begins(one: Sequence[StripeRow], other: Sequence[StripeRow]) -> bool:
    """Whether the shorter of two is how the longer begins."""
    return all(a.colour == b.colour for a, b in zip(one, other, strict=False))


def _band(
    of: Sequence[tuple[str, Sequence[StripeRow]]], colours: Mapping[str, str], type_mm: float
) -> StripeBand:
    """Draw one band: letters above it, row numbers below, and below these the sizes where they end."""
    longest = max((rows for _, rows in of), key=len)
    row_mm = min(MOST_ROW_MM, LONGEST_MM / len(longest))
    runs = [(colour, list(run)) for colour, run in groupby(longest, key=lambda row: row.colour)]
    columns, step = list(colours), type_mm * 0.95
    letters = [
        BandText(colour, round((run[0].row - 1 + len(run) / 2) * row_mm, 2),
                 round(-step * (columns.index(colour) + 0.6), 2))
        for colour, run in runs
    ]  # fmt: skip
    ends, deepest = _ends(of, row_mm, type_mm)
    numbers = _numbers(len(longest), row_mm, type_mm)
    wide = len(longest) * row_mm
    box = (-type_mm, -step * (len(columns) + 0.3), wide + 2.5 * type_mm, deepest)
    named = ", ".join(f"{size} {len(rows)} rows" for size, rows in of)
    return StripeBand(
        frame=frame_of(box, f"Stripes from row 1 on the left; sizes end after these rows: {named}"),
        sizes=tuple(size for size, _ in of),
        fills=tuple(
            _fill(colours[letter], place, _edges(runs, letter, row_mm), (0.0, HIGH_MM))
            for place, letter in enumerate(columns)
        ),
        letters=tuple(letters),
        numbers=tuple(numbers),
        ends=ends,
        ticks="".join(f"M{one.x} {HIGH_MM}v1.2" for one in numbers),
        end_marks="".join(_end_mark(one, type_mm) for one in ends),
        outline=f"M0 0H{wide:.2f}V{HIGH_MM:g}H0Z",
        type_mm=type_mm,
    )  # fmt: skip


def _numbers(rows: int, row_mm: float, type_mm: float) -> list[BandText]:
    """Row numbers at the ends of their rows, as close as there is room for."""
    needed = 3.6 * LETTER_WIDTH * type_mm
    every = next((one for one in NUMBERED if one * row_mm >= needed), NUMBERED[-1])
    y = round(HIGH_MM + 1.2 + type_mm * 0.6, 2)
    return [BandText(str(at), round(at * row_mm, 2), y) for at in range(every, rows + 1, every)]


def _end_mark(end: BandText, type_mm: float) -> str:
    """A line down to a size, broken where the numbers of rows stand."""
    below = HIGH_MM + 1.2 + type_mm * 1.15
    foot = end.y - type_mm * 0.6
    return f"M{end.x} 0V{HIGH_MM:g}" + (f"M{end.x} {below:.2f}V{foot:.2f}" if foot > below else "")


def _ends(
    of: Sequence[tuple[str, Sequence[StripeRow]]], row_mm: float, type_mm: float
) -> tuple[tuple[BandText, ...], float]:
    """The sizes where they end, on as few lines as keep them apart, and how far down the lowest stands."""
    by_rows: dict[int, list[str]] = {}
    for size, rows in of:
        by_rows.setdefault(len(rows), []).append(size)
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


def _edges(
    runs: Sequence[tuple[str, Sequence[StripeRow]]], letter: str, row_mm: float
) -> list[tuple[float, float]]:
    """Where the stripes of a colour begin and end."""
    return [((run[0].row - 1) * row_mm, run[-1].row * row_mm) for colour, run in runs if colour == letter]


def _fill(
    colour: str, place: int, edges: Sequence[tuple[float, float]], high: tuple[float, float]
) -> BandFill:
    """Stripes of one colour between two heights, with their texture."""
    (way, dash), (top, foot) = TEXTURES[place % len(TEXTURES)], high
    along = [top + (at + 0.5) * PITCH_MM for at in range(int((foot - top) / PITCH_MM))]
    texture = ""
    for left, right in edges:
        if way in ("along", "both"):
            texture += "".join(f"M{left:.2f} {y:.2f}H{right:.2f}" for y in along)
        if way in ("across", "both"):
            lines = max(1, int((right - left) / PITCH_MM))
            step = (right - left) / (lines + 1)
            texture += "".join(f"M{left + step * n:.2f} {top:.2f}V{foot:.2f}" for n in range(1, lines + 1))
    path = "".join(f"M{left:.2f} {top:g}H{right:.2f}V{foot:g}H{left:.2f}Z" for left, right in edges)
    return BandFill(path, colour, texture, ink_on(colour), dash)


def ink_on(colour: str) -> str:
    """Dark on what is light, light on what is dark (luma, ITU-R BT.601)."""
    red, green, blue = (int(colour[at : at + 2], 16) for at in (1, 3, 5))
    return DARK if 0.299 * red + 0.587 * green + 0.114 * blue > LIGHTEST_DARK else LIGHT
