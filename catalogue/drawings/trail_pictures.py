"""The trail of a number as a drawing: what it is made of at the left, what is made of it at the right."""

from collections.abc import Iterable
from dataclasses import dataclass

from grading.grid.trails import Spot, Trail, layers_of, links_of

BOX_WIDTH, BOX_HEIGHT = 150.0, 40.0
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
    label: str
    trail: Trail
    is_root: bool

    @property
    def right(self) -> float:
        """Where its right side stands."""
        return self.x + BOX_WIDTH

    @property
    def middle(self) -> float:
        """Half its height."""
        return self.y + BOX_HEIGHT / 2


@dataclass(frozen=True)
class TrailPicture:
    """Boxes, the lines between them, and how many lines of the sheet had no room."""

    width: float
    height: float
    boxes: tuple[TrailBox, ...]
    lines: tuple[str, ...]
    left_out: int
    box_width: float = BOX_WIDTH
    box_height: float = BOX_HEIGHT


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
    height = highest * (BOX_HEIGHT + DOWN) - DOWN + 2 * EDGE
    boxes = [
        box for at, column in sorted(columns.items()) for box in _column(at - first, column, height, at == 0)
    ]
    width = EDGE * 2 + (max(columns) - first) * (BOX_WIDTH + ACROSS) + BOX_WIDTH
    links = [*((inner, one) for one, inner in links_of(sources)), *links_of(users)]
    return TrailPicture(width, height, tuple(boxes), tuple(_lines(boxes, links)), left_out)


def _column(at: int, column: dict[Spot, Trail], height: float, is_root: bool) -> list[TrailBox]:
    """The boxes of one column, in the middle of the height."""
    own = len(column) * (BOX_HEIGHT + DOWN) - DOWN
    top = (height - own) / 2
    return [
        TrailBox(
            x=EDGE + at * (BOX_WIDTH + ACROSS),
            y=top + place * (BOX_HEIGHT + DOWN),
            label=one.label if len(one.label) <= LONGEST else f"{one.label[: LONGEST - 1]}…",
            trail=one,
            is_root=is_root,
        )
        for place, one in enumerate(column.values())
    ]


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
