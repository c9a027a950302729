"""Bands of the garment as worn: strips along its edges, to scale, with lines that tell ribs from rows."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

import numpy as np

from catalogue.drawings.told_bands import (
    ARMHOLE,
    CALLED,
    CUFF,
    FRONT,
    HEM,
    HOOD,
    KINDS,
    NECK,
    ToldBand,
    ToldBands,
    kinds_in,
    named_kinds,
    names_any,
)
from catalogue.drawings.worn_pieces import (
    BACK,
    BODY,
    LEVEL_MM,
    SKIRT,
    SLEEVE,
    Points,
    WornPiece,
    is_made,
    sample_choices,
)
from catalogue.drawings.worn_pieces import FRONT as FRONT_PIECE
from grading.core.grade.pieces import first_corner
from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import JoinEntry, PieceSide

# Between two lines of a band, in mm of paper.
RIB_MM, ROW_MM = 0.9, 0.8
# How far a corner of a band may stand off its edge, in depths.
LONGEST_MITRE = 1.6
# A band whose edge is so upright ends level; less so, it ends square.
LEVEL_FROM = 0.6
# A button, where its size is not told; and how far buttons stay from the ends of a band.
BUTTON_MM, FROM_END_MM = 15.0, 15.0
_BUTTONS = re.compile(r"\bbuttons?\b", re.IGNORECASE)
_MILLIMETRES = re.compile(r"(\d+(?:[.,]\d+)?)\s*mm\b")


@dataclass(frozen=True)
class Strip:
    """A band in mm of the garment: its edge, the lines in it, and whether its yarn is another."""

    edge: Points
    lines: tuple[Points, ...]
    is_other: bool


@dataclass(frozen=True)
class WornBands:
    """All bands of a garment in one size, its buttons as x, y and radius in mm, and what is not drawn."""

    strips: tuple[Strip, ...] = ()
    buttons: tuple[tuple[float, float, float], ...] = ()
    missing: str = ""


@dataclass
class _Found:
    """The bands found so far, with the edges that they are at."""

    strips: list[Strip] = field(default_factory=list)
    kinds: set[str] = field(default_factory=set)

    def add(self, strips: Sequence[Strip], kinds: set[str]) -> None:
        """Take in the strips of an edge, or of edges that one band goes along."""
        self.strips += strips
        if strips:
            self.kinds |= kinds


def worn_bands(facts: Facts, worn: Sequence[WornPiece], place: int, scale: float) -> WornBands:
    """The bands in the size at `place`, as far as the pattern tells where and how deep they are."""
    trunk = [one for one in worn if one.role in (BACK, BODY, FRONT_PIECE)]
    fronts = [one for one in trunk if one.role == FRONT_PIECE]
    behind = [one for one in trunk if one.role != FRONT_PIECE]
    told = ToldBands(facts, place, float(np.ptp(trunk[0].edge[:, 1])))
    found = _Found()
    _add_lower(found, told, worn, fronts or trunk, scale)
    is_in_hem = HEM in found.kinds
    below_mm, front_mm = 0.0, 0.0
    for kind, kinds, join in _band_joins(facts):
        band = told.of(kind, is_joined=True)
        if band is None or (kind == HEM and is_in_hem):
            continue
        # The band of the right front as worn lies on that of the left.
        wanted = fronts[::-1] if fronts and kind == ARMHOLE else [*behind, *fronts[::-1]]
        lines = [line for one in wanted for line in _joined_lines(one, join) if len(line) > 1]
        found.add([_strip(_longer(line, below_mm), band, scale) for line in lines], kinds)
        below_mm = band.depth_mm if kind == HEM and lines else below_mm
        front_mm = band.depth_mm if kind == FRONT and lines else front_mm
    buttons = tuple(_buttons(facts, fronts, place, front_mm)) if front_mm else ()
    return WornBands(tuple(found.strips), buttons, _missing(facts, found.kinds))


def _add_lower(
    found: _Found, told: ToldBands, worn: Sequence[WornPiece], seen: Sequence[WornPiece], scale: float
) -> None:
    """The bands at the lower edges of the trunk and of sleeves, which are part of these pieces."""
    for kind, pieces in (
        (CUFF, [one for one in worn if one.role == SLEEVE]),
        (HEM, [one for one in worn if one.role == SKIRT] or seen),
    ):
        for one in pieces:
            band = _at_corner(told, one) or told.of(kind)
            if band is None or _is_beyond(one):
                continue
            found.add(list(_lower_strips(one, band, 0.0, scale)), {kind})
            over = told.above(kind)
            if over is not None:
                found.strips += _lower_strips(one, over, band.depth_mm, scale, is_pattern=True)


def _at_corner(told: ToldBands, one: WornPiece) -> ToldBand | None:
    """The band that the lowest corner above the lower edge ends."""
    low = one.own_corners[:, 1].min()
    above = [at for at, corner in enumerate(one.own_corners) if corner[1] > low + LEVEL_MM]
    if not above:
        return None
    at = min(above, key=lambda each: one.own_corners[each, 1])
    return told.at_corner(one.piece.outline[at][1], float(one.own_corners[at, 1] - low))


def _is_beyond(one: WornPiece) -> bool:
    """Whether a piece is shorter by its band, as the formulas of its highest corners say.

    A corner of the neck tells of the neckband alone.
    """
    heights = one.own_corners[:, 1]
    highest = np.flatnonzero(heights > heights.max() - LEVEL_MM)
    return any(re.search(r"-\s*\w*band\w*", one.piece.outline[at][1]) for at in highest)


def _lower_strips(
    one: WornPiece, band: ToldBand, above_mm: float, scale: float, *, is_pattern: bool = False
) -> Iterator[Strip]:
    """What lies between two heights above the lower edge of a piece."""
    own = (one.edge - one.shift) @ np.linalg.inv(one.turn).T
    low = float(own[:, 1].min()) + above_mm
    high = low + band.depth_mm
    cut = _below(_below(own, high) * [1, -1], -low) * [1, -1]
    if len(cut) < 3:
        return
    lines = _dots(cut, scale) if is_pattern else level_lines(cut, scale, is_ribbed=band.is_ribbed)
    yield Strip(one.placed(cut), tuple(one.placed(line) for line in lines), band.is_other)


def _below(edge: Points, y: float) -> Points:
    """What of a closed edge lies below a height."""
    kept: list[Points] = []
    for before, after in zip(edge, np.roll(edge, -1, axis=0), strict=True):
        if before[1] <= y:
            kept.append(before)
        if (before[1] <= y) != (after[1] <= y):
            kept.append(before + (y - before[1]) / (after[1] - before[1]) * (after - before))
    return np.array(kept).reshape(-1, 2)


def level_lines(cut: Points, scale: float, *, is_ribbed: bool) -> Iterator[Points]:
    """Ribs up, or rows across, from edge to edge of what lies level, in mm; `scale` is mm to one on paper."""
    (left, low), (right, high) = cut.min(axis=0), cut.max(axis=0)
    if is_ribbed:
        foot = cut[cut[:, 1] <= low + 0.01, 0]
        top = cut[cut[:, 1] >= high - 0.01, 0]
        left, right = max(foot.min(), top.min()), min(foot.max(), top.max())
        for x in _steps(left, right, RIB_MM * scale):
            yield np.array([[x, low], [x, high]])
    else:
        for y in _steps(low, high, ROW_MM * scale):
            yield np.array([[left, y], [right, y]])


def _dots(cut: Points, scale: float) -> Iterator[Points]:
    """Short strokes, each row between those of the row below: stitches of a pattern."""
    (left, low), (right, high) = cut.min(axis=0), cut.max(axis=0)
    step = 2 * RIB_MM * scale
    for row, y in enumerate(_steps(low, high, 1.3 * ROW_MM * scale)):
        for x in _steps(left, right, step):
            at = x + (step / 2 if row % 2 else 0.0)
            if at + step / 4 < right:
                yield np.array([[at, y], [at + step / 5, y]])


def _steps(start: float, end: float, about: float) -> Points:
    """Places in even steps between two, without these; one at the least."""
    count = max(2, round((end - start) / about))
    return start + (end - start) * np.arange(1, count) / count


def _band_joins(facts: Facts) -> Iterator[tuple[str, set[str], JoinEntry]]:
    """The joins of the sample whose label names a band: the edge that its depth is of, all its edges.

    Those at a hem come first: other bands go down beside them.
    """
    defaults = sample_choices(facts.pattern)
    found = [(kinds_in(join.label), join) for join in facts.pattern.joins if is_made(join.when, defaults)]
    for of in ((HEM,), (ARMHOLE, FRONT, NECK)):
        for kinds, join in found:
            kind = next((one for one in of if one in kinds), None)
            if kind and (kind == HEM or HEM not in kinds):
                yield kind, kinds - {HOOD}, join


def _joined_lines(one: WornPiece, join: JoinEntry) -> Iterator[Points]:
    """The edges of a piece that a band is joined to, and on a whole piece those of its other half."""
    names = {edge.edge for edge in (*join.edges, *join.onto)}
    for side in one.piece.sides:
        if f"{one.piece.name}.{side.name}" in names:
            line = _walk(one, side)
            line = line[np.append(True, np.abs(np.diff(line, axis=0)).sum(axis=1) > 0.01)]
            yield line
            if _is_half_of_whole(one, line):
                yield (line * [-1, 1])[::-1]


def _is_half_of_whole(one: WornPiece, line: Points) -> bool:
    """Whether a line lies on one half of a piece that is whole."""
    is_whole = abs(one.edge[:, 0].min() + one.edge[:, 0].max()) < LEVEL_MM
    return bool(is_whole and abs(line[:, 0].mean()) > LEVEL_MM)


def _walk(one: WornPiece, side: PieceSide) -> Points:
    """The points of a side in the garment, the piece on their left."""
    first, count = first_corner(one.piece), len(one.piece.outline)
    ends = one.corners[[(side.start - first) % count, (side.end - first) % count]]
    start, end = (int(np.abs(one.edge - corner).sum(axis=1).argmin()) for corner in ends)
    line = np.roll(one.edge, -start, axis=0)[: (end - start) % len(one.edge) + 1]
    x, y = one.edge.T
    is_counterclockwise = float(np.sum(x * np.roll(y, -1) - y * np.roll(x, -1))) > 0
    return line if is_counterclockwise else line[::-1]


def _longer(line: Points, below_mm: float) -> Points:
    """An upright edge with so much more of it at its foot, where a band at the hem goes on below it."""
    feet = line[[0, -1]], line[[1, -2]]
    for at, (foot, above) in enumerate(zip(*feet, strict=True)):
        if below_mm and above[1] > foot[1] and abs(above[0] - foot[0]) < LEVEL_MM:
            more = foot[None] - [0.0, below_mm]
            return np.concatenate([line, more] if at else [more, line])
    return line


def _strip(line: Points, band: ToldBand, scale: float) -> Strip:
    """A strip on the right of a line, which is outside its piece."""
    outer = _beside(line, band.depth_mm)
    edge = np.concatenate([line, outer[::-1]])
    if not band.is_ribbed:
        shares = _steps(0.0, 1.0, ROW_MM * scale / band.depth_mm)
        return Strip(edge, tuple(line + share * (outer - line) for share in shares), band.is_other)
    along = np.append(0.0, np.cumsum(np.hypot(*np.diff(line, axis=0).T)))
    ribs = [
        np.array([[np.interp(at, along, of[:, axis]) for axis in (0, 1)] for of in (line, outer)])
        for at in _steps(0.0, float(along[-1]), RIB_MM * scale)
    ]
    return Strip(edge, tuple(ribs), band.is_other)


def _beside(line: Points, depth: float) -> Points:
    """A line at the right of another, mitred at its corners."""
    along = np.diff(line, axis=0)
    along = along / np.hypot(*along.T)[:, None]
    right = np.column_stack([along[:, 1], -along[:, 0]])
    before, after = np.vstack([right[:1], right]), np.vstack([right, right[-1:]])
    middle = before + after
    length = np.hypot(*middle.T)[:, None]
    middle = np.divide(middle, length, out=before.copy(), where=length > 0.01)
    reach = np.minimum(1 / np.maximum((middle * after).sum(axis=1), 0.01), LONGEST_MITRE)
    off = depth * reach[:, None] * middle
    for end in (0, -1):  # a band ends level, at the shoulder and at the hem
        if abs(middle[end, 0]) > LEVEL_FROM:
            off[end] = [depth / middle[end, 0], 0.0]
    return np.asarray(line + off)


def _buttons(
    facts: Facts, fronts: Sequence[WornPiece], place: int, band_mm: float
) -> Iterator[tuple[float, float, float]]:
    """The buttons of the sample in this size, in even steps up the middle of the front band."""
    notion = next(
        (
            one
            for one in facts.pattern.notions
            if _BUTTONS.search(one.label) and is_made(one.when, sample_choices(facts.pattern))
        ),
        None,
    )
    count = facts.row(notion.count)[place] if notion else None
    if len(fronts) != 2 or notion is None or not count:
        return
    found = _MILLIMETRES.search(notion.size or "")
    radius = min(float(found.group(1).replace(",", ".")) if found else BUTTON_MM, band_mm) / 2
    edge = fronts[0].edge
    inner = edge[np.abs(edge[:, 0]) <= np.abs(edge[:, 0]).min() + 1.0, 1]
    for y in np.linspace(inner.min() + FROM_END_MM, inner.max() - FROM_END_MM, int(count)):
        yield 0.0, float(y), radius


def _missing(facts: Facts, drawn: set[str]) -> str:
    """What is said below the picture of bands that the pattern has and the picture has not."""
    named = named_kinds(facts) - drawn
    lacking = [kind for kind in KINDS if kind in named]
    if lacking:
        return f"Not drawn: {', '.join(CALLED[kind] for kind in lacking)}."
    return "Bands are not drawn." if not drawn and names_any(facts) else ""
