"""The trail of a number as a drawing: what it is made of at the left, what is made of it at the right."""

from collections.abc import Iterable
from dataclasses import dataclass
from textwrap import wrap

from grading.grid.trails import Spot, Trail, layers_of, links_of

BOX_WIDTH = 150.0
# Of a box: what it has beside its label, and each line of that.
NUMBER_HIGH, LINE_HIGH = 25.0, 15.0
ACROSS, DOWN = 60.0, 12.0
EDGE = 6.0
LONGEST = 22
# More than this is no picture any more; the list holds all.
MOST_DEEP, MOST_HIGH = 4, 12


@dataclass(frozen=True)
class TrailBox:
    """One line of the sheet in the drawing."""

    x: float
    y: float
    height: float
    label: tuple[str, ...]
    trail: Trail
    is_root: bool

    @property
    def first(self) -> float:
        """Where the first line of its label stands."""
        return self.y + LINE_HIGH + 1

    @property
    def bottom(self) -> float:
        """Where its lower side stands."""
        return self.y + self.height

    @property
    def right(self) -> float:
        """Where its right side stands."""
        return self.x + BOX_WIDTH

    @property
    def middle(self) -> float:
        """Half its height."""
        return self.y + self.height / 2


@dataclass(frozen=True)
class TrailPicture:
    """Boxes, the lines between them, and how many lines of the sheet had no room."""

    width: float
    height: float
    boxes: tuple[TrailBox, ...]
    lines: tuple[str, ...]
    left_out: int
    box_height: float
    box_width: float = BOX_WIDTH


def trail_picture(sources: Trail, users: Trail) -> TrailPicture:
    """Lay out both trails of a number in columns, the number itself between them."""
    columns: dict[int, dict[Spot, Trail]] = {0: {sources.spot: sources}}
    left_out = 0
    for trail, side in ((sources, -1), (users, 1)):
        shown = {one.spot: one for pair in links_of(trail) for one in pair}
        for spot, layer in sorted(layers_of(trail).items(), key=lambda one: one[1]):
            column = columns.setdefault(layer * side, {})
            if layer == 0:
                continue
            if layer > MOST_DEEP or len(column) >= MOST_HIGH:
                left_out += 1
            else:
                column[spot] = shown[spot]
    columns = {at: column for at, column in columns.items() if column}
    first, highest = min(columns), max(map(len, columns.values()))
    labels = {spot: _lines_of(one.label) for column in columns.values() for spot, one in column.items()}
    high = NUMBER_HIGH + LINE_HIGH * max(map(len, labels.values()))
    height = highest * (high + DOWN) - DOWN + 2 * EDGE
    boxes = []
    for at, column in sorted(columns.items()):
        top, left = (
            (height - len(column) * (high + DOWN) + DOWN) / 2,
            EDGE + (at - first) * (BOX_WIDTH + ACROSS),
        )
        boxes += [
            TrailBox(left, top + place * (high + DOWN), high, labels[spot], one, at == 0)
            for place, (spot, one) in enumerate(column.items())
        ]
    width = EDGE * 2 + (max(columns) - first) * (BOX_WIDTH + ACROSS) + BOX_WIDTH
    links = [*((inner, one) for one, inner in links_of(sources)), *links_of(users)]
    return TrailPicture(width, height, tuple(boxes), tuple(_lines(boxes, links)), left_out, high)


def _lines_of(label: str) -> tuple[str, ...]:
    """A label in lines that fit its box; none of it is cut."""
    return tuple(wrap(label, LONGEST)) or ("",)


def _lines(boxes: Iterable[TrailBox], links: Iterable[tuple[Trail, Trail]]) -> list[str]:
    """A curve from each line to what is made of it, where both are in the picture."""
    by_spot = {box.trail.spot: box for box in boxes}
    found = []
    for one, other in links:
        start, end = by_spot.get(one.spot), by_spot.get(other.spot)
        if start and end and start.right < end.x:
            bend = (start.right + end.x) / 2
            found.append(
                f"M{start.right:.1f} {start.middle:.1f} C{bend:.1f} {start.middle:.1f} "
                f"{bend:.1f} {end.middle:.1f} {end.x:.1f} {end.middle:.1f}"
            )
    return found
