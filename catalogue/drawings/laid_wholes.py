"""Hats, mittens, shawls and blankets laid flat: what a piece is of them, and where it lies."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from catalogue.drawings.dimension_lines import ACROSS, ALONG, UP, NumberSetting
from catalogue.drawings.pieces_in_size import MeasuredLine
from catalogue.drawings.worn_pieces import BACK, BODY, Points, role_of
from grading.core.grade.pieces import DimensionLine, PieceDrawing, first_corner
from grading.core.pattern.pattern import PieceEntry
from grading.core.pattern.wordings import NEWEST_WORDING, WIDE_WORDING

HAT, MITTEN, SHAWL, BLANKET = "hat", "mitten", "shawl", "blanket"
BRIM, CUFF, THUMB = "brim", "cuff", "thumb"
PARTS = {HAT: (BRIM,), MITTEN: (CUFF, THUMB), SHAWL: (), BLANKET: ()}
# What else people call them.
_CALLED = {
    **{role: role for role in (*PARTS, BRIM, CUFF, THUMB)},
    "beanie": HAT,
    "mitt": MITTEN,
    "hand": MITTEN,
    "throw": BLANKET,
}
_FIRST_CALLED = re.compile(rf"\b({'|'.join(_CALLED)})s?\b")
# Where the name of a thing ends and what is said of it begins: "Cuff of the mitten", "Hat, laid flat".
_SAID_OF_IT = re.compile(r"[,;:(]|\b(?:above|at|below|for|from|in|of|on|over|to|with|without)\b")
# How far a thumb leans away from the hand: free choice of the picture.
LEAN = np.radians(16.0)

Sizes = Sequence[PieceDrawing | None]
# A measurement over all sizes, and its line in the size that is drawn; that of a value bears its name.
Told = tuple[MeasuredLine, DimensionLine]


@dataclass(frozen=True)
class LaidPiece:
    """A piece in its place: how its own points come there, y upwards; a part behind lies under the whole."""

    piece: PieceEntry
    role: str
    drawing: PieceDrawing
    turn: Points
    shift: Points

    def placed(self, points: Points) -> Points:
        """Points of the piece, in the picture."""
        return np.asarray(points @ self.turn.T + self.shift)

    @property
    def edge(self) -> Points:
        """Its edge, in the picture."""
        return self.placed(self.drawing.edge)

    @property
    def leans(self) -> bool:
        """Whether what was level in the piece is no longer so."""
        return bool(abs(self.turn[0, 1]) > 1e-9)


def whole_role(piece: PieceEntry, wording: int = NEWEST_WORDING) -> str | None:
    """What a piece is of a hat, mitten, shawl or blanket, by its name or else its label; None for all else.

    The last word of what it is called says so: a hat brim is a brim, and a shawl pin is no shawl.
    Up to the second wording the first word that is one of these did.
    """
    if role_of(piece):
        return None
    role_in = _first_role_in if wording <= WIDE_WORDING else _role_in
    return role_in(piece.name.replace("_", " ")) or role_in(piece.label)


def _first_role_in(text: str) -> str | None:
    """The role that is named first."""
    found = _FIRST_CALLED.search(text.casefold())
    return _CALLED[found.group(1)] if found else None


def _role_in(text: str) -> str | None:
    """The role that a thing is called by."""
    called = re.findall(r"[a-z]+", _SAID_OF_IT.split(text.casefold())[0])
    return _CALLED.get(called[-1]) or _CALLED.get(called[-1].removesuffix("s")) if called else None


def laid_pieces(
    drawn: Sequence[tuple[PieceEntry, PieceDrawing]], wording: int = NEWEST_WORDING
) -> list[LaidPiece]:
    """Lay a whole flat with its parts, hindmost first; none where the pieces are those of a garment.

    `drawn` are the pieces that the sample has, in file order, each in the same one size. The first that is a
    whole is laid, with one part of each kind: its lower edge at height 0, its middle at 0, in mm, y upwards.
    A brim lies on the lower edge of a hat and a cuff below a mitten's. A thumb lies at the side of the hand
    that is named after it; without such a side it is left out, for nothing tells where it begins.
    """
    if any(role_of(piece) in (BACK, BODY) for piece, _ in drawn):
        return []
    roles = [(whole_role(piece, wording), piece, drawing) for piece, drawing in drawn]
    found = next(((role, p, d) for role, p, d in roles if role in PARTS), None)
    if found is None:
        return []
    role, piece, drawing = found
    whole = _laid(piece, role or "", drawing, turn=_upright(piece, drawing))
    parts: dict[str, LaidPiece] = {}
    for part, its_piece, its_drawing in roles:
        if part is None or part not in PARTS[whole.role] or part in parts:
            continue
        laid = _part(whole, part, its_piece, its_drawing)
        if laid is not None:
            parts[part] = laid
    behind = [one for part, one in parts.items() if part == THUMB]
    return [*behind, whole, *(one for part, one in parts.items() if part != THUMB)]


def _laid(piece: PieceEntry, role: str, drawing: PieceDrawing, *, turn: Points) -> LaidPiece:
    """A piece whose lower edge begins at 0, its middle at 0."""
    edge = drawing.edge @ turn.T
    low, high = edge.min(axis=0), edge.max(axis=0)
    return LaidPiece(piece, role, drawing, turn, np.array([-(low[0] + high[0]) / 2, -low[1]]))


def _upright(piece: PieceEntry, drawing: PieceDrawing) -> Points:
    """A neck edge that lies low is turned up; everything else lies as it is drawn."""
    middle = (drawing.box[1] + drawing.box[3]) / 2
    ends = _side(piece, drawing, "neck")
    is_low = ends is not None and ends[:, 1].mean() < middle
    return -np.eye(2) if is_low else np.eye(2)


def _side(piece: PieceEntry, drawing: PieceDrawing, name: str) -> Points | None:
    """Both ends of the side whose name has a word in it, in the piece's own mm."""
    first, count = first_corner(piece), len(drawing.corners)
    for side in piece.sides:
        if name in side.name:
            return drawing.corners[[(side.start - first) % count, (side.end - first) % count]]
    return None


def _part(whole: LaidPiece, role: str, piece: PieceEntry, drawing: PieceDrawing) -> LaidPiece | None:
    """A part in its place; None for a thumb that has none."""
    if role == THUMB:
        return _thumb(whole, piece, drawing)
    laid = _laid(piece, role, drawing, turn=np.eye(2))
    if role == CUFF:
        height = drawing.box[3] - drawing.box[1]
        return replace(laid, shift=laid.shift - [0.0, height])
    return laid


def _thumb(whole: LaidPiece, piece: PieceEntry, drawing: PieceDrawing) -> LaidPiece | None:
    """A thumb behind the hand: both part where the hand's side ends, and it leans away from there."""
    side = _side(whole.piece, whole.drawing, THUMB)
    if side is None:
        return None
    fork = whole.placed(side)[side[:, 1].argmax()]
    own = _side(piece, drawing, "hand")
    at = own[own[:, 1].argmax()] if own is not None else np.array(drawing.box[:2])
    cos, sin = float(np.cos(LEAN)), float(np.sin(LEAN))
    turn = np.array([[cos, sin], [-sin, cos]])
    return LaidPiece(piece, THUMB, drawing, turn, fork - turn @ at)


def placed_line(one: LaidPiece, line: MeasuredLine, at: DimensionLine) -> Told:
    """A line in the picture; of a piece that leans, beside it and along its lean."""
    ends = np.array([at.start, at.end])
    setting = line.setting
    if one.leans:
        if setting.way == UP:
            ends[:, 0] = one.drawing.box[2]
        elif setting.way == ACROSS:
            ends[:, 1] = one.drawing.box[3]
        setting = NumberSetting(ALONG, setting.parts)
    (x1, y1), (x2, y2) = one.placed(ends).tolist()
    return replace(line, setting=setting), DimensionLine(at.value, (x1, y1), (x2, y2))
