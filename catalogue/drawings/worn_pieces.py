"""The pieces of a garment put together: where each lies when it is made up and laid flat, front up."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grading.core.grade.grade import Graded
from grading.core.grade.pieces import PieceDrawing, draw_graded, first_corner
from grading.core.pattern.pattern import PatternFile, PieceEntry, PieceSide, When
from grading.core.pattern.wordings import WIDE_WORDING

Points = NDArray[np.float64]

BODY, BACK, FRONT, SLEEVE, HOOD, SKIRT = "body", "back", "front", "sleeve", "hood", "skirt"
_ROLE = re.compile(rf"\b({BODY}|{BACK}|{FRONT}|{SLEEVE}|{HOOD}|{SKIRT})s?\b")
# A front that is no wider than this share of the back is one of two.
HALF = 0.72
LEVEL_MM = 4.0
# How far a cap that is set in goes on behind the body, as a share of the armhole.
BEHIND = 0.35
FLAT = 0.02
# An armhole that takes more of the height than this is the whole side: nothing tells where it begins.
DEEPEST_ARMHOLE = 0.7


@dataclass(frozen=True)
class WornPiece:
    """A piece in its place: its edge in mm of the garment, y upwards, and how its own corners come there."""

    piece: PieceEntry
    role: str
    edge: Points
    turn: Points
    shift: Points
    is_mirrored: bool
    own_corners: Points

    @property
    def corners(self) -> Points:
        """Its corners, in the garment."""
        return self.placed(self.own_corners)

    def placed(self, points: Points) -> Points:
        """Points of the piece, in the garment."""
        return np.asarray(points @ self.turn.T + self.shift)


@dataclass(frozen=True)
class Armhole:
    """Where a sleeve is joined: from the underarm to the top; a raglan ends at the neck."""

    under: Points
    top: Points
    is_raglan: bool


def role_of(piece: PieceEntry) -> str | None:
    """What a piece is of a garment, by the first word of its name or label that says so."""
    found = _ROLE.search(piece.name.replace("_", " ").casefold()) or _ROLE.search(piece.label.casefold())
    return found.group(1) if found else None


def is_made(when: When, defaults: Mapping[str, str]) -> bool:
    """Whether something is made with the choices of the sample."""
    return all(defaults.get(name) in choices for name, choices in when)


def sample_choices(pattern: PatternFile) -> dict[str, str]:
    """The choice of each option that the sample has."""
    return {one.name: one.default for one in pattern.options}


def worn_in_sample(graded: Graded, place: int) -> list[WornPiece]:
    """The pieces that are made with the choices of the sample, in one size, put together."""
    pattern = graded.pattern
    defaults = sample_choices(pattern)
    drawn = [
        (piece, drawing)
        for piece in pattern.pieces
        if is_made(piece.when, defaults)
        and (pattern.wording > WIDE_WORDING or role_of(piece) != SKIRT)
        and (drawing := draw_graded(piece, graded.pieces[piece.name], pattern.curves)[place])
    ]
    return worn_pieces(drawn)


def worn_pieces(drawn: Sequence[tuple[PieceEntry, PieceDrawing]]) -> list[WornPiece]:
    """Lay the pieces of a garment on each other, hindmost first; none where they make no garment together."""
    roles = [(role_of(piece), piece, drawing) for piece, drawing in drawn]
    trunk = next(((p, d) for role, p, d in roles if role in (BACK, BODY)), None)
    if trunk is None:
        return []
    back = _upright(*trunk, role_of(trunk[0]) or BACK)
    found = [back]
    for role, piece, drawing in roles:
        if role == FRONT:
            found += _fronts(piece, drawing, back)
    whole = next((one for one in found if one.role == FRONT and not one.is_mirrored), back)
    armhole = armhole_of(back.piece, back.placed(_corners(trunk[1])))
    behind: list[WornPiece] = []
    for role, piece, drawing in roles:
        if role == SLEEVE and armhole is not None:
            behind += _sleeves(piece, drawing, armhole)
        if role == HOOD:
            behind.append(_hood(piece, drawing, whole))
        if role == SKIRT:
            behind.append(_skirt(piece, drawing, back))
    together = [*behind, *found]
    return together if len(together) > 1 else []


def armhole_of(piece: PieceEntry, corners: Points) -> Armhole | None:
    """The armhole at the right of a piece: of the side that is named so, else of its outline."""
    named = [side for side in piece.sides if "armhole" in side.name]
    if named:
        ends = corners[list(_ends(piece, named[0]))]
        low, high = sorted(ends.tolist(), key=lambda end: end[1])
        centre = (corners[:, 0].min() + corners[:, 0].max()) / 2
        if low[0] < centre:
            low[0], high[0] = 2 * centre - low[0], 2 * centre - high[0]
        return Armhole(np.array(low), np.array(high), is_raglan=False)
    return _armhole_of_outline(corners)


def _armhole_of_outline(corners: Points) -> Armhole | None:
    """The armhole as the outline tells: from the widest place to the shoulder, or to a raglan's neck."""
    chain = _right_chain(corners)
    if len(chain) < 2:
        return None
    top, is_raglan = chain[-1], True
    if len(chain) > 2:
        step = np.abs(chain[-1] - chain[-2])
        if step[1] < step[0]:
            top, is_raglan = chain[-2], False
    below = [corner for corner in chain if corner[1] < top[1] - LEVEL_MM]
    widest = max(corner[0] for corner in below) if below else top[0]
    places = [
        place for place, corner in enumerate(chain) if corner[0] >= widest - LEVEL_MM and corner[1] < top[1]
    ]
    if not places:
        return None
    at = places[-1]
    after = chain[min(at + 1, len(chain) - 1)]
    if is_raglan and abs(after[1] - chain[at][1]) < LEVEL_MM:
        at += 1
    under = chain[at]
    height = corners[:, 1].max() - corners[:, 1].min()
    if top[1] - under[1] > DEEPEST_ARMHOLE * height:
        return None
    return Armhole(under, top, is_raglan)


def _right_chain(corners: Points) -> list[Points]:
    """The corners from the lower right one up to the right end of the neck."""
    count = len(corners)
    low, high = corners[:, 1].min(), corners[:, 1].max()
    level = max(FLAT * (high - low), LEVEL_MM)
    bottoms = [place for place in range(count) if corners[place, 1] <= low + level]
    start = max(bottoms, key=lambda place: corners[place, 0])
    centre = (corners[:, 0].min() + corners[:, 0].max()) / 2
    tops = [
        place
        for place in range(count)
        if corners[place, 1] >= high - level and corners[place, 0] > centre + LEVEL_MM
    ]
    if not tops:
        return []
    end = min(tops, key=lambda place: corners[place, 0])
    forward = [(start + step) % count for step in range(((end - start) % count) + 1)]
    backward = [(start - step) % count for step in range(((start - end) % count) + 1)]
    way = min((forward, backward), key=lambda places: sum(corners[place, 0] < centre for place in places))
    return [corners[place] for place in way]


def _ends(piece: PieceEntry, side: PieceSide) -> tuple[int, int]:
    """The corners of a side, from 0."""
    first, count = first_corner(piece), len(piece.outline)
    return (side.start - first) % count, (side.end - first) % count


def _corners(drawing: PieceDrawing) -> Points:
    """The corners of a piece in one size."""
    return np.asarray(drawing.corners, dtype=float)


def _upright(piece: PieceEntry, drawing: PieceDrawing, role: str) -> WornPiece:
    """A whole piece: its hem's middle at 0, its top at 0."""
    left, right = _hem(drawing)
    shift = np.array([-(left + right) / 2, -drawing.box[3]])
    return WornPiece(piece, role, drawing.edge + shift, np.eye(2), shift, False, _corners(drawing))


def _hem(drawing: PieceDrawing) -> tuple[float, float]:
    """Where the lower edge of a piece begins and ends."""
    level = drawing.box[1] + max(FLAT * (drawing.box[3] - drawing.box[1]), LEVEL_MM)
    xs = drawing.corners[drawing.corners[:, 1] <= level, 0]
    return float(xs.min()), float(xs.max())


def _fronts(piece: PieceEntry, drawing: PieceDrawing, back: WornPiece) -> list[WornPiece]:
    """A front over the back: a whole one, or both halves with their sides on those of the back."""
    low = back.edge[:, 1].min()
    hem = back.edge[back.edge[:, 1] <= low + LEVEL_MM, 0]
    if drawing.width_mm > HALF * (hem.max() - hem.min()):
        return [_upright(piece, drawing, FRONT)]
    outer_is_left = _outer_is_left(piece, drawing)
    if outer_is_left is None:
        return []
    left, right = _hem(drawing)
    flip = np.diag([1.0 if outer_is_left else -1.0, 1.0])
    outer = left if outer_is_left else -right
    found = []
    for mirror in (1.0, -1.0):
        turn = np.diag([mirror, 1.0]) @ flip
        shift = np.array([mirror * (hem.min() - outer), -drawing.box[3]])
        edge = drawing.edge @ turn.T + shift
        found.append(WornPiece(piece, FRONT, edge, turn, shift, mirror < 0, _corners(drawing)))
    return found


def _outer_is_left(piece: PieceEntry, drawing: PieceDrawing) -> bool | None:
    """Whether the side seam of a half front is at its left; None where nothing tells."""
    middle = (drawing.box[0] + drawing.box[2]) / 2
    for names, at_left in ((("side", "armhole"), True), (("edge", "neck"), False)):
        for side in piece.sides:
            if any(name in side.name for name in names):
                x = float(drawing.corners[list(_ends(piece, side)), 0].mean())
                return (x < middle) is at_left
    label = f"{piece.name} {piece.label}".casefold()
    places = {side: label.find(side) for side in ("right", "left") if side in label}
    return min(places, key=lambda side: places[side]) == "right" if places else None


def _sleeves(piece: PieceEntry, drawing: PieceDrawing, armhole: Armhole) -> list[WornPiece]:
    """Both sleeves, each folded along its middle and laid with its top on the armhole."""
    corners, edge = _corners(drawing), drawing.edge
    left, right = _hem(drawing)
    middle = (left + right) / 2
    own = _armhole_of_outline(corners)
    if own is None or not own.is_raglan or not armhole.is_raglan:
        widest = corners[corners[:, 0] >= corners[:, 0].max() - LEVEL_MM]
        own = Armhole(widest[widest[:, 1].argmax()], np.array([middle, corners[:, 1].max()]), is_raglan=False)
    fold = np.array([[-1.0, 0.0], [0.0, 1.0]])
    under, top = ((point - np.array([middle, 0.0])) @ fold.T for point in (own.under, own.top))
    before = math.atan2(*(top - under)[::-1])
    after = math.atan2(*(armhole.top - armhole.under)[::-1])
    angle = after - before
    spin = np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    half = _right_half(edge - np.array([middle, 0.0]))
    if not own.is_raglan:
        half = _set_in(half, own.under - np.array([middle, 0.0]), own.top - np.array([middle, 0.0]))
    found = []
    for mirror in (1.0, -1.0):
        turn = np.diag([mirror, 1.0]) @ spin @ fold
        shift = np.array([mirror, 1.0]) * (armhole.under - spin @ under)
        shift = shift - turn @ np.array([middle, 0.0])
        placed = (half + np.array([middle, 0.0])) @ turn.T + shift
        found.append(WornPiece(piece, SLEEVE, placed, turn, shift, mirror < 0, corners))
    return found


def _set_in(half: Points, under: Points, top: Points) -> Points:
    """A folded sleeve whose cap is eased into the armhole: it goes on behind the body, to its edge."""
    cast_off = (np.abs(half[:, 1] - under[1]) <= LEVEL_MM) & (half[:, 0] < under[0] - LEVEL_MM)
    is_cap = (half[:, 1] > under[1] + LEVEL_MM) | cast_off
    if not is_cap.any() or is_cap.all():
        return half
    after = int(np.flatnonzero(is_cap & ~np.roll(is_cap, -1))[-1]) + 1
    kept = np.roll(half, -after, axis=0)[~np.roll(is_cap, -after)]
    chord = top - under
    behind = under + BEHIND * np.array([chord[1], -chord[0]])
    cap = [behind, top] if abs(kept[-1][0] - under[0]) < abs(kept[0][0] - under[0]) else [top, behind]
    return np.concatenate([kept, cap])


def _right_half(edge: Points) -> Points:
    """What of a closed edge lies right of 0, cut along the upright line there."""
    kept: list[Points] = []
    for before, after in zip(edge, np.roll(edge, -1, axis=0), strict=True):
        if before[0] >= 0:
            kept.append(before)
        if (before[0] < 0) != (after[0] < 0):
            share = before[0] / (before[0] - after[0])
            kept.append(before + share * (after - before))
    return np.array(kept)


def _hood(piece: PieceEntry, drawing: PieceDrawing, body: WornPiece) -> WornPiece:
    """A hood behind the neck, folded along its back."""
    left, right = _hem(drawing)
    turn = np.diag([0.5, 1.0])
    shift = np.array([-(left + right) / 4, body.edge[:, 1].max() - drawing.box[1]])
    return WornPiece(piece, HOOD, drawing.edge @ turn.T + shift, turn, shift, False, _corners(drawing))


def _skirt(piece: PieceEntry, drawing: PieceDrawing, body: WornPiece) -> WornPiece:
    """A skirt below the body: what its top is wider is gathered into the body's lower edge."""
    left, right = _hem(drawing)
    low, high = drawing.box[1], drawing.box[3]
    lower = body.edge[body.edge[:, 1] <= body.edge[:, 1].min() + LEVEL_MM, 0]
    top = drawing.edge[drawing.edge[:, 1] >= high - LEVEL_MM, 0]
    shift = np.array([-(left + right) / 2, float(body.edge[:, 1].min()) - high])
    gathered = min(1.0, float(np.ptp(lower)) / max(float(np.ptp(top)), LEVEL_MM))
    up = (drawing.edge[:, 1] - low) / (high - low)
    edge = drawing.edge + shift
    edge = np.column_stack([edge[:, 0] * (1 + up * (gathered - 1)), edge[:, 1]])
    return WornPiece(piece, SKIRT, edge, np.eye(2), shift, False, _corners(drawing))
