"""Letters, row numbers and ends of sizes beside a band of stripes, none of them on another."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from catalogue.drawings.nests import LETTER_WIDTH

HIGH_MM = 11.0
# Row numbers stand at every so many rows, the fewest that have room.
NUMBERED = (5, 10, 20, 50, 100)
TICK_MM = 1.2


@dataclass(frozen=True)
class BandText:
    """A letter, a row number or a size beside the band."""

    text: str
    x: float
    y: float


@dataclass(frozen=True)
class BandMarks:
    """What stands beside a band, its lines as paths, and how far up and down it goes, in mm.

    `across` are lines through the stripes where sizes end, drawn on white so that they show on dark yarn;
    `down` lead from there to the sizes.
    """

    letters: tuple[BandText, ...]
    numbers: tuple[BandText, ...]
    ends: tuple[BandText, ...]
    ticks: str
    across: str
    down: str
    top: float
    foot: float


# A colour with the middle of its stripe, in mm.
Stripe = tuple[str, float]


def band_marks(
    stripes: Sequence[Stripe], rows: int, last_rows: Mapping[str, int], row_mm: float, type_mm: float
) -> BandMarks:
    """Set the letters of stripes above a band, and below it row numbers and the sizes where they end.

    Args:
        stripes: The stripes in their order.
        rows: How many rows the band has.
        last_rows: The last row of each size, by its name.
        row_mm: How wide a row is drawn.
        type_mm: Height of the type.
    """
    letters = tuple(_letters(stripes, type_mm))
    ends, counts, down = _ends(last_rows, row_mm, type_mm)
    numbers = [one for one in row_numbers(rows, row_mm, type_mm) if _is_clear(one, down, type_mm)]
    last = sorted({rows_of * row_mm for rows_of in last_rows.values()})
    return BandMarks(
        letters=letters,
        numbers=(*numbers, *counts),
        ends=ends,
        ticks=ticks_of(numbers),
        across="".join(f"M{x:.2f} 0V{HIGH_MM:g}" for x in last if x < rows * row_mm - 1e-6),
        down="".join(f"M{x0:.2f} {HIGH_MM:g}L{x1:.2f} {y:.2f}" for x0, x1, y in down),
        top=min((one.y for one in letters), default=0.0) - 0.7 * type_mm,
        foot=max((one.y for one in counts), default=HIGH_MM) + 0.6 * type_mm,
    )


def row_numbers(rows: int, row_mm: float, type_mm: float) -> list[BandText]:
    """Row numbers at the ends of their rows, as close as there is room for."""
    needed = 3.6 * LETTER_WIDTH * type_mm
    every = next((one for one in NUMBERED if one * row_mm >= needed), NUMBERED[-1])
    y = round(HIGH_MM + TICK_MM + type_mm * 0.6, 2)
    return [BandText(str(at), round(at * row_mm, 2), y) for at in range(every, rows + 1, every)]


def ticks_of(numbers: Sequence[BandText]) -> str:
    """A tick at each row number."""
    return "".join(f"M{one.x} {HIGH_MM}v{TICK_MM:g}" for one in numbers)


def _letters(stripes: Sequence[Stripe], type_mm: float) -> Iterator[BandText]:
    """A letter over each stripe, all on one line; of letters that would touch, one stands above the other."""
    until = [0.0, 0.0]
    for letter, middle in stripes:
        half = (len(letter) + 0.5) * LETTER_WIDTH * type_mm / 2
        line = 0 if middle - half >= until[0] - 1e-6 or until[1] > until[0] else 1
        until[line] = middle + half
        yield BandText(letter, round(middle, 2), round(-type_mm * (0.6 + line), 2))


def _ends(
    last_rows: Mapping[str, int], row_mm: float, type_mm: float
) -> tuple[tuple[BandText, ...], tuple[BandText, ...], list[tuple[float, float, float]]]:
    """The sizes where they end and their last rows below them, moved apart, and a line down to each.

    A line goes from the foot of the band to the height of the sizes: where it begins, where it ends, how low.
    """
    by_rows: dict[int, list[str]] = {}
    for size, rows in last_rows.items():
        by_rows.setdefault(rows, []).append(size)
    texts = [(rows, ", ".join(sizes)) for rows, sizes in sorted(by_rows.items())]
    widths = [(max(len(text), len(str(rows))) + 1.5) * LETTER_WIDTH * type_mm for rows, text in texts]
    places = moved_apart([rows * row_mm for rows, _ in texts], widths)
    y = HIGH_MM + TICK_MM + type_mm * 1.9
    ends = tuple(BandText(text, round(x, 2), round(y, 2)) for x, (_, text) in zip(places, texts, strict=True))
    counts = tuple(
        BandText(str(rows), round(x, 2), round(y + type_mm * 1.1, 2))
        for x, (rows, _) in zip(places, texts, strict=True)
    )
    down = [(rows * row_mm, x, y - 0.6 * type_mm) for x, (rows, _) in zip(places, texts, strict=True)]
    return ends, counts, down


def moved_apart(wanted: Sequence[float], widths: Sequence[float]) -> list[float]:
    """Middles of things on a line, as near as can be to where they are wanted and none on another.

    Things that would overlap are moved together, as far to the left in all as to the right.

    >>> moved_apart([10.0, 11.0, 30.0], [4.0, 4.0, 4.0])
    [8.5, 12.5, 30.0]

    Source:
        Isotonic regression by pooling neighbours (derived: middles less the room before them never fall).
    """
    room = 0.0
    pools: list[tuple[float, int]] = []
    rooms = []
    for middle, width in zip(wanted, widths, strict=True):
        rooms.append(room + width / 2)
        mean, count = middle - rooms[-1], 1
        while pools and pools[-1][0] > mean:
            before, of = pools.pop()
            mean, count = (before * of + mean * count) / (of + count), of + count
        pools.append((mean, count))
        room += width
    shifts = [mean for mean, count in pools for _ in range(count)]
    return [shift + before for shift, before in zip(shifts, rooms, strict=True)]


def _is_clear(one: BandText, down: Sequence[tuple[float, float, float]], type_mm: float) -> bool:
    """Whether no line down to a size passes through a row number."""
    half = (len(one.text) + 0.6) * LETTER_WIDTH * type_mm / 2
    return all(max(x0, x1) < one.x - half or min(x0, x1) > one.x + half for x0, x1, _ in down)
