"""Hats, mittens, shawls and blankets laid flat with their measurements: the whole, and what belongs to it."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from catalogue.drawings.dimension_lines import ACROSS, ALONG, UP, NumberSetting
from catalogue.drawings.found_lines import found_lines, is_strip
from catalogue.drawings.schematics import (
    TYPE_MM,
    Ground,
    KeyLine,
    MeasuredLine,
    PieceInSize,
    drawn_between,
    found_line,
    measured_line,
    piece_in_size,
)
from catalogue.drawings.worn_pieces import BACK, BODY, Points, is_made, role_of
from grading.core.grade.grade import Graded
from grading.core.grade.pieces import DimensionLine, PieceDrawing, draw_graded, first_corner
from grading.core.instructions.facts import Facts
from grading.core.instructions.steps import when_label
from grading.core.pattern.pattern import PieceEntry
from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.printing.edition import PrintForm

HAT, MITTEN, SHAWL, BLANKET = "hat", "mitten", "shawl", "blanket"
BRIM, CUFF, THUMB = "brim", "cuff", "thumb"
# What else people call them.
_CALLED = {"beanie": HAT, "mitt": MITTEN, "hand": MITTEN, "throw": BLANKET}
_PARTS = {HAT: (BRIM,), MITTEN: (CUFF, THUMB), SHAWL: (), BLANKET: ()}
_ROLE = re.compile(rf"\b({'|'.join([*_PARTS, *_CALLED, BRIM, CUFF, THUMB])})s?\b")
# Beside the list of its measurements; in large print these stand below it.
WIDEST_MM, HIGHEST_MM = 58.0, 64.0
WIDEST_LARGE_MM = 112.0
# A mitten drawn smaller than in this share of its room has no place for its numbers.
LEAST_SHARE = 0.5
SCALES = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50)
# How far a thumb leans away from the hand: free choice of the picture.
LEAN = np.radians(16.0)

Sizes = Sequence[PieceDrawing | None]


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


@dataclass(frozen=True)
class WholePicture:
    """What is made, laid flat in one size; parts of other choices in words; the pieces that it shows."""

    piece: PieceInSize
    key: tuple[KeyLine, ...]
    choices: str
    scale: str
    is_folded: bool
    others: tuple[str, ...]
    pieces: frozenset[str]


def whole_role(piece: PieceEntry) -> str | None:
    """What a piece is of a hat, mitten, shawl or blanket: the first word of name or label that says so."""
    if role_of(piece):
        return None
    words = piece.name.replace("_", " ").casefold(), piece.label.casefold()
    found = _ROLE.search(words[0]) or _ROLE.search(words[1])
    return _CALLED.get(found.group(1), found.group(1)) if found else None


def laid_pieces(drawn: Sequence[tuple[PieceEntry, PieceDrawing]]) -> list[LaidPiece]:
    """Lay a whole flat with its parts, hindmost first; none where the pieces are those of a garment.

    A brim lies on the lower edge of a hat and a cuff below a mitten's. A thumb lies at the side of the hand
    that is named after it; without such a side it is left out, for nothing tells where it begins.
    """
    if any(role_of(piece) in (BACK, BODY) for piece, _ in drawn):
        return []
    roles = [(whole_role(piece), piece, drawing) for piece, drawing in drawn]
    found = next(((role, p, d) for role, p, d in roles if role in _PARTS), None)
    if found is None:
        return []
    role, piece, drawing = found
    whole = _laid(piece, role or "", drawing, turn=_upright(piece, drawing))
    parts: dict[str, LaidPiece] = {}
    for part, its_piece, its_drawing in roles:
        if part is None or part not in _PARTS[whole.role] or part in parts:
            continue
        laid = _part(whole, part, its_piece, its_drawing)
        if laid is not None:
            parts[part] = laid
    behind = [one for part, one in parts.items() if part == THUMB]
    return [*behind, whole, *(one for part, one in parts.items() if part != THUMB)]


def whole_picture(
    facts: Facts,
    graded: Graded,
    edition: PrintForm,
    kept: Sequence[int],
    *,
    type_mm: float,
    share: float = 1.0,
) -> WholePicture | None:
    """Draw a whole in the middle of the sizes; None where there is none, and in the first wording."""
    pattern = facts.pattern
    if pattern.wording == FIRST_WORDING:
        return None
    place = kept[len(kept) // 2]
    defaults = {one.name: one.default for one in pattern.options}
    sizes = {
        piece.name: draw_graded(piece, graded.pieces[piece.name], pattern.curves) for piece in pattern.pieces
    }
    laid = laid_pieces(
        [
            (piece, drawing)
            for piece in pattern.pieces
            if is_made(piece.when, defaults) and (drawing := sizes[piece.name][place])
        ]
    )
    whole = next((one for one in laid if one.role in _PARTS), None)
    if whole is None or is_strip(sizes[whole.piece.name]):
        return None
    edges = np.concatenate([one.edge for one in laid])
    widest = WIDEST_MM if type_mm <= TYPE_MM else WIDEST_LARGE_MM
    extent = (edges.max(axis=0) - edges.min(axis=0)) / (widest, HIGHEST_MM)
    needed = float(extent.max()) / max(share, LEAST_SHARE)
    scale = next((float(scale) for scale in SCALES if scale >= needed), ceil(needed / 10) * 10.0)
    ground = Ground(facts, graded, edition, kept, scale, type_mm)
    told = list(_told(ground, laid, sizes))
    composed = PieceDrawing(edges, edges, tuple(line for _, line in told))
    lines = [line for line, _ in told]
    shown = piece_in_size(ground, "Laid flat", composed, lines, place)
    origin = np.array([edges[:, 0].min(), edges[:, 1].max()])
    others = _parts_of_other_choices(facts, whole.role, laid)
    paths = {one.piece.name: _path(one.edge, origin, scale) for one in laid}
    thumbs = [one.piece.name for one in laid if one.role == THUMB]
    return WholePicture(
        piece=replace(
            shown,
            under="".join(paths[name] for name in thumbs),
            edge="".join(path for name, path in paths.items() if name not in thumbs),
        ),
        key=tuple(
            KeyLine(number, line.label, _note(line), ground.lengths(line.numbers, kept))
            for number, line in enumerate(lines, 1)
        ),
        choices=_choices(facts, edition, whole.role),
        scale=f"1 : {scale:g}",
        is_folded=any(line.setting.parts == 2 for line in lines),
        others=tuple(text for piece in others for text in _in_words(ground, piece, sizes[piece.name], lines)),
        pieces=frozenset([*(one.piece.name for one in laid), *(piece.name for piece in others)]),
    )


def _parts_of_other_choices(facts: Facts, role: str, laid: Sequence[LaidPiece]) -> list[PieceEntry]:
    """Parts that are made in place of those that are drawn, where the maker chooses otherwise."""
    drawn = {one.role for one in laid}
    names = {one.piece.name for one in laid}
    return [
        piece
        for piece in facts.pattern.pieces
        if piece.name not in names
        and piece.when
        and whole_role(piece) in drawn & set(_PARTS[role])
        and piece.dimensions
    ]


def _in_words(
    ground: Ground, piece: PieceEntry, sizes: Sizes, drawn: Sequence[MeasuredLine]
) -> Iterator[str]:
    """The measurements of a part that is not drawn, as far as no line of the picture is called the same."""
    if not any(sizes[place] for place in ground.kept):
        return
    known = {line.label for line in drawn}
    for number in range(len(piece.dimensions)):
        line = measured_line(ground, sizes, number)
        if line.label not in known:
            when = when_label(piece.when, ground.facts.pattern)
            yield f"{line.label} ({when}): {ground.lengths(line.numbers, ground.kept)}"


def _note(line: MeasuredLine) -> str:
    """What the key adds to a line of which half is drawn."""
    return "all round; half of it is drawn" if line.setting.parts == 2 else ""


def _choices(facts: Facts, edition: PrintForm, role: str) -> str:
    """The choices that decide which pieces are shown, as the sample has them."""
    own = dict(edition.chosen)
    wanted = {role, *_PARTS[role]}
    deciding = {
        name for piece in facts.pattern.pieces if whole_role(piece) in wanted for name, _ in piece.when
    }
    shown = [
        (one.name, (one.default,))
        for one in facts.pattern.options
        if one.name in deciding and one.name not in own
    ]
    return when_label(shown, facts.pattern)


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


def _told(
    ground: Ground, laid: Sequence[LaidPiece], sizes: Mapping[str, Sizes]
) -> Iterator[tuple[MeasuredLine, DimensionLine]]:
    """The measurements of the whole and then of its parts, each value once."""
    seen: set[str] = set()
    for one in sorted(laid, key=lambda each: each.role not in _PARTS):
        its_sizes = sizes[one.piece.name]
        for number, line in enumerate(one.drawing.lines):
            if line.value not in seen:
                seen.add(line.value)
                yield _placed(one, measured_line(ground, its_sizes, number), line)
        if one.role in _PARTS:
            for found in found_lines(one.piece, one.drawing):
                yield _placed(one, found_line(found, its_sizes), drawn_between(found, one.drawing))


def _placed(one: LaidPiece, line: MeasuredLine, at: DimensionLine) -> tuple[MeasuredLine, DimensionLine]:
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


def _path(edge: Points, origin: Points, scale: float) -> str:
    """A closed path in mm of paper, y downwards."""
    points = (edge - origin) / scale * (1.0, -1.0)
    return "M" + "L".join(f"{x + 0.0:.2f} {y + 0.0:.2f}" for x, y in points.tolist()) + "Z"
