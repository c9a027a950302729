"""Small line charts over sizes: where lines, marks, ticks and labels stand. Numbers in, places out."""

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

from grading.grid.shown_numbers import decimal_text

Numbers = Sequence[float | None]
Mark = Literal["finished", "body"]
WIDTH, HEIGHT = 300.0, 170.0
LEFT, RIGHT, TOP, BOTTOM = 42.0, 10.0, 10.0, 26.0
MOST_TICKS = 5
# One of the unit to both sides: numbers that are all but the same stand in the middle of their chart.
LEAST_SPAN = 2.0
# Room that a letter of a label takes, generously.
LETTER = 7.0


@dataclass(frozen=True)
class Line:
    """One line of a chart: its stretches without gaps, and a mark with its words for each number."""

    mark: Mark
    label: str
    stretches: tuple[str, ...]
    marks: tuple[tuple[float, float, str], ...]


@dataclass(frozen=True)
class LineChart:
    """A chart ready to be drawn; `zero` is where nothing stands, `band` top and height of the tolerance."""

    title: str
    lines: tuple[Line, ...]
    ticks: tuple[tuple[float, str], ...]
    labels: tuple[tuple[float, str], ...]
    zero: float | None
    band: tuple[float, float] | None
    width: float = WIDTH
    height: float = HEIGHT
    left: float = LEFT
    right: float = WIDTH - RIGHT
    inner: float = WIDTH - LEFT - RIGHT
    tick_x: float = LEFT - 6
    label_y: float = HEIGHT - 8


def line_chart(
    title: str,
    sizes: Sequence[str],
    lines: Sequence[tuple[Mark, str, Numbers]],
    *,
    unit: str,
    around: float | None = None,
) -> LineChart | None:
    """Lay a chart out; `around` is a tolerance to both sides of nothing. None where there is no number."""
    numbers = [one for _, _, many in lines for one in many if one is not None and math.isfinite(one)]
    if not numbers:
        return None
    least, most = min(numbers), max(numbers)
    if around is not None:
        least, most = min(least, -around), max(most, around)
    if most - least < LEAST_SPAN:
        least, most = (least + most - LEAST_SPAN) / 2, (least + most + LEAST_SPAN) / 2
    ticks = ticks_between(least, most)
    scale = _Scale(ticks[0], ticks[-1], len(sizes))
    has_zero = ticks[0] <= 0 <= ticks[-1]
    band = None if around is None else (scale.y(around), scale.y(-around) - scale.y(around))
    return LineChart(
        title=title,
        lines=tuple(_line(mark, label, many, sizes, scale, unit) for mark, label, many in lines),
        ticks=tuple((scale.y(one), decimal_text(one, 3).replace("-", "−")) for one in ticks),
        labels=tuple(_labels(sizes, scale)),
        zero=scale.y(0) if has_zero else None,
        band=band,
    )


def ticks_between(least: float, most: float) -> list[float]:
    """Round numbers that reach from the least to the most, at most a handful: steps of 1, 2 or 5."""
    span = max(most - least, abs(most) * 1e-6, 1e-3)
    step = 10 ** math.floor(math.log10(span / (MOST_TICKS - 1)))
    step = next(step * one for one in (1, 2, 5, 10, 20) if span / (step * one) <= MOST_TICKS - 2)
    first = math.floor(least / step + 1e-9)
    last = max(math.ceil(most / step - 1e-9), first + 1)
    return [round(step * one, 9) for one in range(first, last + 1)]


@dataclass(frozen=True)
class _Scale:
    """From numbers and sizes to places."""

    least: float
    most: float
    sizes: int

    def x(self, size: int) -> float:
        inner = WIDTH - LEFT - RIGHT
        return LEFT + inner * (size + 0.5) / self.sizes

    def y(self, number: float) -> float:
        inner = HEIGHT - TOP - BOTTOM
        return HEIGHT - BOTTOM - inner * (number - self.least) / (self.most - self.least)


def _line(mark: Mark, label: str, numbers: Numbers, sizes: Sequence[str], scale: _Scale, unit: str) -> Line:
    """One line, broken where a size has no number."""
    stretches: list[list[str]] = [[]]
    marks = []
    for place, number in enumerate(numbers):
        if number is None or not math.isfinite(number):
            stretches.append([])
            continue
        x, y = scale.x(place), scale.y(number)
        stretches[-1].append(f"{x:.2f},{y:.2f}")
        marks.append((x, y, f"{label}, size {sizes[place]}: {decimal_text(number, 2)} {unit}"))
    return Line(mark, label, tuple(" ".join(one) for one in stretches if len(one) > 1), tuple(marks))


def _labels(sizes: Sequence[str], scale: _Scale) -> Iterator[tuple[float, str]]:
    """The labels of sizes, as many as have room; the first and the last among them."""
    longest = max(min(len(one), 6) for one in sizes)
    room = max(1, int((WIDTH - LEFT - RIGHT) / (LETTER * (longest + 1))))
    every = math.ceil(len(sizes) / room)
    shown = set(range(0, len(sizes), every))
    if len(sizes) - 1 not in shown:
        shown = {one for one in shown if len(sizes) - 1 - one >= every} | {len(sizes) - 1}
    for place in sorted(shown):
        label = sizes[place]
        yield scale.x(place), label if len(label) <= 6 else f"{label[:5]}…"
