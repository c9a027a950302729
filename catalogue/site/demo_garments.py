"""Garments of the demo put together: pieces in their places, bands, hats, mittens and shawls."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from catalogue.drawings.worn_pieces import BACK, BODY, FRONT, HOOD, SLEEVE, WornPiece, is_made, worn_pieces
from catalogue.site.demo_cloth import Cloth
from catalogue.site.demo_scenes import Arms, Layer, Own, Points, Scene
from grading.core.grade.grade import Graded, grade
from grading.core.grade.pieces import PieceDrawing, draw_graded
from grading.core.pattern.pattern import PatternFile, PieceEntry

INSIDE, BEHIND = 0.55, 0.85
BUTTON_MM = 10.0
LEVEL_MM = 4.0
# The neck of a body whose pieces have none, as deep for its width as necks of jumpers are.
NECK_DEPTH = 0.32
WITHIN_MM = 15.0
CUTS, CUT = 4, 0.28
APART_MM, TILT = 40.0, 0.1
THUMB, THUMB_TILT = (40.0, 84.0), 0.42


def scene_of(pattern: PatternFile, cloth: Cloth, slope: float, shape: str, place: int) -> Scene:
    """A pattern in one size, by its place, with its default options: worn, folded flat or spread out."""
    graded = grade(pattern)
    drawn = _drawn(pattern, graded, place)
    if shape == "worn":
        buttons = graded.values.get("buttons")
        count = int(buttons.worked[place]) if buttons else 0
        return _worn(worn_pieces(drawn), cloth, slope, count)
    return {"hat": _hat, "mittens": _mittens, "shawl": _shawl}[shape](drawn[0][1], cloth)


def _drawn(pattern: PatternFile, graded: Graded, place: int) -> list[tuple[PieceEntry, PieceDrawing]]:
    """The pieces that are made with the defaults."""
    defaults = {one.name: one.default for one in pattern.options}
    return [
        (one, drawing)
        for one in pattern.pieces
        if is_made(one.when, defaults)
        and (drawing := draw_graded(one, graded.pieces[one.name], pattern.curves)[place])
    ]


def _worn(worn: list[WornPiece], cloth: Cloth, slope: float, count: int) -> Scene:
    """A garment with its arms hanging, and so many buttons."""
    trunk = next(one for one in worn if one.role in (BACK, BODY))
    fronts = [one for one in worn if one.role == FRONT]
    neck = _neck_half(fronts[0] if fronts else trunk)
    is_hooded = any(one.role == HOOD for one in worn)
    layers = [
        layer
        for one in worn
        for layer in _piece_layers(one, cloth, neck, is_all=not fronts, is_hooded=is_hooded)
    ]
    halves = len(fronts) > 1
    buttons = tuple(_buttons(fronts[-1], count)) if halves else ()
    return Scene(layers, Arms(_hem_half(fronts or [trunk]) - WITHIN_MM, slope), buttons=buttons)


def _neck_half(trunk: WornPiece) -> float:
    """How far from the middle the nearest corner of the upper edge is."""
    corners = trunk.corners
    high = np.abs(corners[corners[:, 1] >= corners[:, 1].max() - LEVEL_MM, 0])
    return float(high[high > LEVEL_MM].min())


def _hem_half(trunk: Sequence[WornPiece]) -> float:
    """Half the width at the hem."""
    corners = np.concatenate([one.corners for one in trunk])
    return float(corners[corners[:, 1] <= corners[:, 1].min() + LEVEL_MM, 0].max())


def _piece_layers(
    one: WornPiece, cloth: Cloth, neck: float, *, is_all: bool, is_hooded: bool
) -> Iterator[Layer]:
    """A piece, and the bands at its edges: round a neck that has a hood there is none."""
    own = _own(one)
    if one.role == HOOD:
        yield Layer(one.edge, own, replace(cloth, rib_mm=0.0, seeds_mm=0.0), BEHIND)
        return
    yield Layer(one.edge, own, replace(cloth, seeds_mm=0.0) if one.role == SLEEVE else cloth)
    if one.role == BACK and not is_all:  # through the neck and between fronts its inside is seen
        low = one.edge[:, 1].min() + cloth.band_mm
        yield Layer(_box(neck + cloth.band_mm, low, 0.0), own, cloth, INSIDE)
        if is_hooded:
            return
        yield _band(np.array([[-neck, -cloth.band_mm / 3], [neck, -cloth.band_mm / 3]]), cloth, 0.8)
    elif one.role in (BODY, BACK):
        oval = _oval(1.12 * neck)
        yield Layer(oval, own, cloth, INSIDE)
        yield _band(np.roll(oval, len(oval) // 2, axis=0), cloth)
    elif one.role == FRONT:
        yield _band(_inner(one.edge, np.abs(one.edge[:, 0]).min() if is_hooded else neck), cloth)


def _own(one: WornPiece) -> Own:
    """From the garment to a piece's own mm, from its lower left corner."""
    back = np.linalg.inv(one.turn)
    low = one.own_corners.min(axis=0)

    def own(x: Points, y: Points) -> tuple[Points, Points]:
        x, y = x - one.shift[0], y - one.shift[1]
        return back[0, 0] * x + back[0, 1] * y - low[0], back[1, 0] * x + back[1, 1] * y - low[1]

    return own


def _inner(edge: Points, half: float) -> Points:
    """The stretch of a closed edge that lies so near the middle, from end to end."""
    is_near = np.abs(edge[:, 0]) <= half + 1.0
    if is_near.all():
        return edge
    start = next(at for at in range(len(edge)) if is_near[at] and not is_near[at - 1])
    return np.roll(edge, -start, axis=0)[: int(is_near.sum())]


def _band(line: Points, cloth: Cloth, lit: float = 1.0) -> Layer:
    """A band along a line, its ribs across it: up a front as they lie, around a neck by the angle."""
    is_ribbed = cloth.is_ribbed and not cloth.has_plain_bands
    rib = replace(cloth, rib_mm=1e6, colours=cloth.colours[:1], runs="up", seeds_mm=0.0, is_ribbed=is_ribbed)
    wide, high = np.ptp(line, axis=0)
    centre = line.mean(axis=0) + np.array([0.0, 40.0])

    def own(x: Points, y: Points) -> tuple[Points, Points]:
        if high > wide:
            return y, np.abs(x)
        return np.arctan2(y - centre[1], x - centre[0]) * wide * 0.6, np.hypot(x - centre[0], y - centre[1])

    return Layer(line, own, rib, lit, cloth.band_mm)


def _box(half: float, low: float, high: float) -> Points:
    """A box around the middle."""
    return np.array([[-half, low], [half, low], [half, high], [-half, high]])


def _oval(half: float) -> Points:
    """The opening of a neck, from its right end below the middle round."""
    turn = np.linspace(0, 2 * np.pi, 49)
    return np.column_stack([half * np.cos(turn), -NECK_DEPTH * half * np.sin(turn)])


def _buttons(front: WornPiece, count: int) -> Iterator[tuple[float, float, float]]:
    """Buttons in even steps on the middle of the fronts' bands."""
    inner = front.edge[np.abs(front.edge[:, 0]) <= np.abs(front.edge[:, 0]).min() + 1.0]
    low, high = inner[:, 1].min(), inner[:, 1].max()
    for place in range(count):
        yield 0.0, float(low + 30 + (high - low - 45) * place / max(1, count - 1)), BUTTON_MM


def _turned(angle: float, shift: tuple[float, float], mirror: float = 1.0) -> tuple[Points, Points]:
    """A turn and a shift."""
    cos, sin = np.cos(angle), np.sin(angle)
    return np.array([[cos, -sin], [sin, cos]]) @ np.diag([mirror, 1.0]), np.array(shift)


def _placed(edge: Points, cloth: Cloth, turn: Points, shift: Points) -> Layer:
    """A piece turned and shifted, with its own mm."""
    back = np.linalg.inv(turn)
    low = edge.min(axis=0)

    def own(x: Points, y: Points) -> tuple[Points, Points]:
        x, y = x - shift[0], y - shift[1]
        return back[0, 0] * x + back[0, 1] * y - low[0], back[1, 0] * x + back[1, 1] * y - low[1]

    return Layer(edge @ turn.T + shift, own, cloth)


def _rounded(edge: Points) -> Points:
    """An edge whose corners above the lowest ones are cut again and again."""
    for _ in range(CUTS):
        found: list[Points] = []
        for at, corner in enumerate(edge):
            if corner[1] <= edge[:, 1].min() + LEVEL_MM:
                found.append(corner)
            else:
                before, after = edge[at - 1], edge[(at + 1) % len(edge)]
                found += [corner + CUT * (before - corner), corner + CUT * (after - corner)]
        edge = np.array(found)
    return edge


def _hat(drawing: PieceDrawing, cloth: Cloth) -> Scene:
    """A hat folded flat."""
    return Scene(
        [_placed(_rounded(drawing.corners), cloth, *_turned(0.06, (0.0, 0.0)))], soft_mm=9.0, round_px=190
    )


def _mittens(drawing: PieceDrawing, cloth: Cloth) -> Scene:
    """A pair: thumbs beneath the hands, each turned to the other."""
    edge = _rounded(drawing.corners) - np.array([drawing.width_mm / 2, 0.0])
    low, high = edge[:, 1].min(), edge[:, 1].max()
    wide, long = THUMB
    thumb = _box(wide / 2, 0.0, long)
    root = np.array([drawing.width_mm / 2 - wide * 0.45, low + 0.3 * (high - low)])
    plain = replace(cloth, rib_mm=0.0)
    layers: list[Layer] = []
    for side in (-1.0, 1.0):
        turn, shift = _turned(-side * TILT, (side * (drawing.width_mm / 2 + APART_MM), 0.0), side * -1.0)
        lean, _ = _turned(-THUMB_TILT, (0.0, 0.0))
        layers += [
            _placed(thumb, plain, turn @ lean, turn @ root + shift),
            _placed(edge, cloth, turn, shift),
        ]
    return Scene(layers, soft_mm=9.0, round_px=150)


def _shawl(drawing: PieceDrawing, cloth: Cloth) -> Scene:
    """A shawl spread out, its rows in a V; both ends of the long edge hang a little."""
    left, _, right, high = drawing.box
    middle = np.array([(left + right) / 2, high])

    def own(x: Points, y: Points) -> tuple[Points, Points]:
        return x, -y

    edge = drawing.edge - middle
    return Scene([Layer(edge, own, replace(cloth, runs="v"))], Arms(40.0, 0.18), soft_mm=4.0)
