"""Bands of stripes: the rows of all sizes in one strip, row 1 on the left, a mark where each size ends."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from catalogue.drawings.band_marks import HIGH_MM, BandMarks, band_marks
from catalogue.drawings.nests import LETTER_WIDTH, Frame, frame_of
from catalogue.drawings.wide_band_marks import wide_marks
from grading.core.yarn.stripes import StripePlan, StripeRow

LONGEST_MM, MOST_ROW_MM = 152.0, 2.4
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
class StripeBand:
    """The stripes of sizes that begin alike."""

    frame: Frame
    sizes: tuple[str, ...]
    fills: tuple[BandFill, ...]
    marks: BandMarks
    outline: str
    type_mm: float
    is_wide: bool = False


def draw_bands(
    plans: Sequence[tuple[str, StripePlan]],
    colours: Mapping[str, str],
    type_mm: float,
    *,
    is_wide: bool = False,
) -> tuple[StripeBand, ...]:
    """The bands of one part: sizes of which one goes on where the other ends share a band.

    Up to the second wording (`is_wide`) their marks stood otherwise.
    """
    together: list[list[tuple[str, tuple[StripeRow, ...]]]] = []
    for size, plan in plans:
        rows = plan.rows or ()
        for band in together:
            if _begins(max((other for _, other in band), key=len), rows):
                band.append((size, rows))
                break
        else:
            together.append([(size, rows)])
    return tuple(_band(band, colours, type_mm, is_wide=is_wide) for band in together)


def swatch(colour: str, place: int) -> BandFill:
    """The sample of a colour in the key, six by three and a half millimetres, drawn over as in the band."""
    return _fill(colour, place, [(0.2, 5.8)], (0.2, 3.2))


def _begins(one: Sequence[StripeRow], other: Sequence[StripeRow]) -> bool:
    """Whether the shorter of two is how the longer begins."""
    return all(a.colour == b.colour for a, b in zip(one, other, strict=False))


def _band(
    of: Sequence[tuple[str, Sequence[StripeRow]]],
    colours: Mapping[str, str],
    type_mm: float,
    *,
    is_wide: bool,
) -> StripeBand:
    """Draw one band: letters above it, row numbers below, and below these the sizes where they end."""
    longest = max((rows for _, rows in of), key=len)
    row_mm = min(MOST_ROW_MM, LONGEST_MM / len(longest))
    runs = [(colour, list(run)) for colour, run in groupby(longest, key=lambda row: row.colour)]
    stripes = [(colour, (run[0].row - 1 + len(run) / 2) * row_mm) for colour, run in runs]
    last_rows = {size: len(rows) for size, rows in of}
    marks = (
        wide_marks(stripes, len(longest), last_rows, (list(colours), row_mm, type_mm))
        if is_wide
        else band_marks(stripes, len(longest), last_rows, row_mm, type_mm)
    )
    wide = len(longest) * row_mm
    left, right = (-type_mm, wide + 2.5 * type_mm) if is_wide else _sides(marks, wide, type_mm)
    box = (left, marks.top, right, marks.foot)
    named = ", ".join(f"{size} {len(rows)} rows" for size, rows in of)
    return StripeBand(
        frame=frame_of(box, f"Stripes from row 1 on the left; sizes end after these rows: {named}"),
        sizes=tuple(size for size, _ in of),
        fills=tuple(
            _fill(colours[letter], place, _edges(runs, letter, row_mm), (0.0, HIGH_MM))
            for place, letter in enumerate(colours)
        ),
        marks=marks,
        outline=f"M0 0H{wide:.2f}V{HIGH_MM:g}H0Z",
        type_mm=type_mm,
        is_wide=is_wide,
    )


def _sides(marks: BandMarks, wide: float, type_mm: float) -> tuple[float, float]:
    """How far a band with the sizes below it goes to the left and to the right."""
    spans = [(one.x, (len(one.text) + 0.5) * LETTER_WIDTH * type_mm / 2) for one in marks.ends]
    left = min([-0.5 * type_mm, *(x - half for x, half in spans)])
    return left, max([wide + 0.5 * type_mm, *(x + half for x, half in spans)])


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
