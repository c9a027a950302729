"""The geometry of the picture of results: one row per measurement, sizes along it; pure."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from textwrap import wrap

from testing.access.typed import MM_PER_UNIT
from testing.asked.expected import Deviation, ExpectedMeasurement

LABEL_WIDTH = 190.0
MOST_WIDE = 980.0
SIZE_WIDTHS = (64.0, 140.0)  # least and most for one size
LABEL_LENGTH = 26  # characters
ROW_HEIGHT = 92.0
HEAD_HEIGHT = 30.0
NOTE_BELOW, VERDICT_BELOW = 19.0, 34.0  # tolerance and verdict stand beneath the label, in the margin
DOT_GAP = 13.0
SCALE_WIDTH = 66.0  # at the right: each row's own scale
# Lengths that are round in the units that they are told in.
TICKS = {"cm": (10.0, 5.0, 2.0, 1.0, 0.5, 0.2, 0.1), "in": (4.0, 2.0, 1.0, 0.5, 0.25, 0.1, 0.05)}
STRIP_LABEL_WIDTH = 66.0  # of one measurement beside its sentence: the tolerance alone
STRIP_MOST_WIDE = 440.0
STRIP_SIZE_WIDTHS = (36.0, 110.0)
# Beside heading and legend an upright A4 page has 165 × 215 mm for the picture, one across 250 × 120 mm: both
# show a picture of this shape alike (derived: 165 / w = 120 / h).
WIDE_FROM = 165 / 120
CROSS_ARM = 5.0
INTERVAL_INSET = 6.0  # the interval stands at the left edge of its size, clear of the dots
ROOM = (
    0.7  # share of a row's half height that the furthest dot may reach; the rest parts it from its neighbour
)
LEAST_SHOWN = 2.0  # a row shows at least twice the tolerance, so that small errors look small


@dataclass(frozen=True)
class Marks:
    """What is shown beside the dots, by measurement: verdict in words, interval per size in mm, doubts.

    `units` are those of whoever looks: the scale is round in them.
    """

    verdicts: Mapping[str, str] = field(default_factory=dict)
    intervals: Mapping[str, Sequence[Sequence[float] | None]] = field(default_factory=dict)
    doubtful: frozenset[tuple[str, str]] = frozenset()  # maker and measurement
    units: str = "cm"


@dataclass(frozen=True)
class Dot:
    """One tester's deviation; drawn as a circle, or as a lozenge when beyond the tolerance."""

    x: float
    y: float
    is_beyond: bool
    points: str
    deviation: Deviation
    is_doubtful: bool = False

    @property
    def cross(self) -> str:
        """The two strokes of a doubtful entry, as an SVG path."""
        low, high = -CROSS_ARM, CROSS_ARM
        strokes = ((low, low, high, high), (low, high, high, low))
        return " ".join(
            f"M {self.x + a:.2f} {self.y + b:.2f} L {self.x + c:.2f} {self.y + d:.2f}"
            for a, b, c, d in strokes
        )


@dataclass(frozen=True)
class PlotRow:
    """A measurement: its strip, its tolerance band, its line of no deviation and its dots."""

    line: ExpectedMeasurement
    top: float
    middle: float
    band_top: float
    band_height: float
    note_y: float
    verdict_y: float
    labels: tuple[tuple[str, float], ...]
    dots: tuple[Dot, ...]
    verdict: str = ""
    intervals: tuple[tuple[float, float, float], ...] = ()  # x, top, bottom
    ticks: tuple[tuple[float, float], ...] = ()  # mm off what is expected, and y


@dataclass(frozen=True)
class Plot:
    """Everything the template draws, in user units of the SVG."""

    width: float
    height: float
    left: float
    columns: tuple[tuple[str, float], ...]
    rows: tuple[PlotRow, ...]
    head_y: float
    head_bottom: float
    right: float
    inner_width: float
    folded: tuple[str, ...] = ()  # sizes without a result, which have no column

    @property
    def is_wide(self) -> bool:
        """Whether a page across shows it larger than a page upright."""
        return self.width > WIDE_FROM * self.height


NO_MARKS = Marks()


@dataclass(frozen=True)
class Columns:
    """Where sizes stand: how wide each is, and the place of those that have a column."""

    wide: float
    places: Mapping[int, int]
    left: float = LABEL_WIDTH

    def middle(self, size: int) -> float:
        """The middle of a size's column."""
        return self.left + self.wide * (self.places[size] + 0.5)


def draw_plot(
    lines: Sequence[ExpectedMeasurement],
    sizes: Sequence[str],
    deviations: Sequence[Deviation],
    marks: Marks = NO_MARKS,
) -> Plot:
    """Place every deviation: sizes along the row, longer than expected above the middle line."""
    by_line: dict[str, list[Deviation]] = defaultdict(list)
    for deviation in deviations:
        by_line[deviation.measurement].append(deviation)
    shown = [line for line in lines if by_line[line.name]]
    seen = sorted({deviation.size for line in shown for deviation in by_line[line.name]})
    columns = Columns(size_width(len(seen)), {size: place for place, size in enumerate(seen)})
    rows = tuple(
        _draw_row(place, line, by_line[line.name], columns, marks) for place, line in enumerate(shown)
    )
    return _framed(columns, rows, sizes)


def draw_strip(
    line: ExpectedMeasurement, sizes: Sequence[str], deviations: Sequence[Deviation], marks: Marks = NO_MARKS
) -> Plot | None:
    """The row of one measurement, narrow enough to stand beside its sentence; None without a deviation."""
    own = [deviation for deviation in deviations if deviation.measurement == line.name]
    seen = sorted({deviation.size for deviation in own})
    if not own:
        return None
    least, most = STRIP_SIZE_WIDTHS
    wide = max(least, min(most, STRIP_MOST_WIDE / len(seen)))
    columns = Columns(wide, {size: place for place, size in enumerate(seen)}, STRIP_LABEL_WIDTH)
    return _framed(columns, (_draw_row(0, line, own, columns, marks),), sizes)


def size_width(sizes: int) -> float:
    """How wide the column of one size is: the page is filled, within limits."""
    least, most = SIZE_WIDTHS
    return max(least, min(most, MOST_WIDE / max(sizes, 1)))


def _framed(columns: Columns, rows: tuple[PlotRow, ...], sizes: Sequence[str]) -> Plot:
    """Rows with their head of sizes around them."""
    inner = columns.wide * len(columns.places)
    return Plot(
        width=columns.left + inner + SCALE_WIDTH,
        height=HEAD_HEIGHT + ROW_HEIGHT * len(rows) + 4,
        left=columns.left,
        columns=tuple((sizes[size], columns.middle(size)) for size in columns.places),
        rows=rows,
        head_y=HEAD_HEIGHT - 10,
        head_bottom=HEAD_HEIGHT,
        right=columns.left + inner,
        inner_width=inner,
        folded=tuple(size for place, size in enumerate(sizes) if place not in columns.places),
    )


def _draw_row(
    place: int, line: ExpectedMeasurement, deviations: Sequence[Deviation], columns: Columns, marks: Marks
) -> PlotRow:
    """Draw one measurement; each row has its own scale, told by its tolerance band."""
    top = HEAD_HEIGHT + ROW_HEIGHT * place
    middle = top + ROW_HEIGHT / 2
    limit_mm = _limit_mm(line, deviations, marks)
    scale = ROW_HEIGHT / 2 * ROOM / limit_mm
    band = line.tolerance_mm * scale
    return PlotRow(
        line=line,
        top=top,
        middle=middle,
        band_top=round(middle - band, 2),
        band_height=round(2 * band, 2),
        note_y=middle + NOTE_BELOW,
        verdict_y=middle + VERDICT_BELOW,
        labels=_label_lines(line.label, middle),
        dots=tuple(
            _dot(x, middle - _held(deviation.off_mm, limit_mm) * scale, deviation, marks)
            for x, deviation in _side_by_side(deviations, columns)
        ),
        verdict=marks.verdicts.get(line.name, ""),
        intervals=_intervals(marks.intervals.get(line.name, ()), (middle, scale, limit_mm), columns),
        ticks=tuple((mm, round(middle - mm * scale, 2)) for mm in _ticks_mm(limit_mm, marks.units)),
    )


def _intervals(
    bounds: Sequence[Sequence[float] | None], placed: tuple[float, float, float], columns: Columns
) -> tuple[tuple[float, float, float], ...]:
    """Where the interval of each size stands: x, top and bottom."""
    middle, scale, limit_mm = placed
    return tuple(
        (
            round(columns.middle(size) - columns.wide / 2 + INTERVAL_INSET, 2),
            round(middle - _held(high_low[1], limit_mm) * scale, 2),
            round(middle - _held(high_low[0], limit_mm) * scale, 2),
        )
        for size, high_low in enumerate(bounds)
        if high_low is not None and size in columns.places
    )


def _ticks_mm(limit_mm: float, units: str) -> tuple[float, ...]:
    """What the scale of a row names: nothing, and the largest round length that it holds, both ways."""
    round_mm = [number * MM_PER_UNIT[units] for number in TICKS[units]]
    step = next((mm for mm in round_mm if mm <= limit_mm), limit_mm)
    return step, 0.0, -step


def _limit_mm(line: ExpectedMeasurement, deviations: Sequence[Deviation], marks: Marks) -> float:
    """How far the row reaches: doubtful entries are drawn at its edge, lest they flatten the rest."""
    trusted = [
        abs(deviation.off_mm)
        for deviation in deviations
        if (deviation.maker, deviation.measurement) not in marks.doubtful
    ]
    return max(LEAST_SHOWN * line.tolerance_mm, 1.0, *trusted)


def _held(off_mm: float, limit_mm: float) -> float:
    """Hold a deviation within its row."""
    return max(-limit_mm, min(limit_mm, off_mm))


def _label_lines(label: str, middle: float) -> tuple[tuple[str, float], ...]:
    """The label in at most two lines above the middle."""
    lines = wrap(label, LABEL_LENGTH, max_lines=2, placeholder=" …")
    return tuple((line, middle + 2 - 16 * (len(lines) - place - 1)) for place, line in enumerate(lines))


def _side_by_side(deviations: Sequence[Deviation], columns: Columns) -> list[tuple[float, Deviation]]:
    """Give testers of one size a place each beside the middle of their column."""
    by_size: dict[int, list[Deviation]] = defaultdict(list)
    for deviation in deviations:
        by_size[deviation.size].append(deviation)
    placed = []
    for size, group in by_size.items():
        gap = min(DOT_GAP, (columns.wide - 2 * DOT_GAP) / max(len(group) - 1, 1))
        start = columns.middle(size) - gap * (len(group) - 1) / 2
        placed += [(start + gap * place, deviation) for place, deviation in enumerate(group)]
    return placed


def _dot(x: float, y: float, deviation: Deviation, marks: Marks) -> Dot:
    """A dot with the corners of its lozenge."""
    x, y, arm = round(x, 2), round(y, 2), 6.5
    corners = ((x, y - arm), (x + arm, y), (x, y + arm), (x - arm, y))
    points = " ".join(f"{across:.2f},{down:.2f}" for across, down in corners)
    is_doubtful = (deviation.maker, deviation.measurement) in marks.doubtful
    return Dot(x, y, deviation.is_beyond, points, deviation, is_doubtful)
