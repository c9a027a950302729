"""Edges of joins: which sides of pieces have the letter of a join, and whether they meet or are worked on."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from catalogue.drawings.worn_pieces import role_of
from grading.core.grade.pieces import PieceDrawing, first_corner
from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import JoinEdge, JoinEntry, PieceEntry, PieceSide, When
from grading.core.pattern.wordings import WIDE_WORDING

Points = NDArray[np.float64]

# How an edge meets what has its letter: it is joined to all other edges of the letter; another part is put or
# worked there; or the list alone tells, where several edges meet several others.
JOINED, WORKED, LISTED = "joined", "worked", "listed"
# Sides of a sleeve that are worked from, or sewn to, the armholes.
_SLEEVE_TOPS, _ARMHOLE, _NECK = ("top", "cap"), "armhole", "back neck"
# A back without a corner at its neck is level there.
LEVEL_MM = 1.0


@dataclass(frozen=True)
class LetteredEdge:
    """A side of a piece with the letter of a join; its side is None for the middle of its upper edge.

    `across` names the length of that.
    """

    letter: str
    piece: PieceEntry
    side: PieceSide | None
    meets: str
    across: str = ""


def side_of(edge: JoinEdge, piece: PieceEntry) -> PieceSide | None:
    """The side of a piece that an edge of a join names."""
    owner, _, name = edge.edge.partition(".")
    return next((one for one in piece.sides if owner == piece.name and one.name == name), None)


def lettered_edges(facts: Facts, lettered: Mapping[str, JoinEntry]) -> list[LetteredEdge]:
    """All edges that have a letter, in the order of the letters."""
    is_old = facts.pattern.wording <= WIDE_WORDING
    found: list[LetteredEdge] = []
    for letter, join in lettered.items():
        own = _sides(join.edges, facts)
        onto = _sides(join.onto, facts)
        if is_old:
            both = [*own, *(one for one in onto if one not in own)]
            found += [LetteredEdge(letter, piece, side, JOINED) for piece, side in both]
            continue
        own = own or _sleeve_top(join, facts)
        necks = list(_back_necks(letter, join, facts))
        first, second = _meetings(own, onto, len(necks))
        found += [LetteredEdge(letter, piece, side, first) for piece, side in own]
        found += [
            LetteredEdge(letter, piece, side, second) for piece, side in onto if (piece, side) not in own
        ]
        found += necks
    return found


def _sides(edges: Sequence[JoinEdge], facts: Facts) -> list[tuple[PieceEntry, PieceSide]]:
    """The sides of pieces that edges name, each once."""
    found = [
        (piece, side)
        for edge in edges
        for piece in facts.pattern.pieces
        if (side := side_of(edge, piece)) is not None
    ]
    return [one for at, one in enumerate(found) if one not in found[:at]]


def _meetings(
    own: Sequence[tuple[PieceEntry, PieceSide]], onto: Sequence[tuple[PieceEntry, PieceSide]], necks: int
) -> tuple[str, str]:
    """How the edges of a join meet, and how those that they are joined onto."""
    others = len(onto) + necks
    if not own or not others:
        return WORKED, WORKED
    if any(one in onto for one in own) or (len(own) > 1 and (others > 1 or not onto)):
        return LISTED, LISTED
    if len(own) == 1:
        return JOINED, JOINED if others == 1 else WORKED
    return WORKED, JOINED


def _sleeve_top(join: JoinEntry, facts: Facts) -> list[tuple[PieceEntry, PieceSide]]:
    """The top of a sleeve whose stitches are picked up along the armholes: no join names it."""
    named = {edge.edge for one in facts.pattern.joins for edge in (*one.edges, *one.onto)}
    if not join.onto or not all(edge.edge.endswith(f".{_ARMHOLE}") for edge in join.onto):
        return []
    return [
        (piece, side)
        for piece in facts.pattern.pieces
        if role_of(piece) == "sleeve" and _are_of_one_choice(piece.when, join.when)
        for side in piece.sides
        if side.name in _SLEEVE_TOPS and f"{piece.name}.{side.name}" not in named
    ][:1]


def _are_of_one_choice(one: When, other: When) -> bool:
    """Whether what depends on choices is there together with something else that does."""
    chosen = dict(other)
    return all(not set(among).isdisjoint(chosen.get(name, among)) for name, among in one)


def _back_necks(letter: str, join: JoinEntry, facts: Facts) -> Iterator[LetteredEdge]:
    """The neck of a back that is worked from side to side: a length of the sheet, and no side."""
    for edge in join.onto:
        label = facts.labels.get(edge.edge, edge.edge.replace("_", " "))
        if "." not in edge.edge and label.casefold().startswith(_NECK):
            yield from (
                LetteredEdge(letter, piece, None, WORKED, edge.edge)
                for piece in facts.pattern.pieces
                if role_of(piece) == "back"
            )


def points_of(one: LetteredEdge, drawing: PieceDrawing, facts: Facts, place: int) -> Points | None:
    """The points of a lettered edge in one size, mm; None where the piece is not level at its neck."""
    if one.side is not None:
        return _walk(one.piece, one.side, drawing)
    wide = facts.row(one.across)[place]
    top = drawing.edge[drawing.edge[:, 1] > drawing.box[3] - LEVEL_MM]
    middle = (drawing.box[0] + drawing.box[2]) / 2
    if wide is None:
        return None
    low, high = middle - float(wide) / 2, middle + float(wide) / 2
    is_level = low > float(top[:, 0].min()) and high < float(top[:, 0].max())
    return np.array([[low, drawing.box[3]], [high, drawing.box[3]]]) if is_level else None


def _walk(piece: PieceEntry, side: PieceSide, drawing: PieceDrawing) -> Points:
    """The points of the edge from the first corner of a side to its last."""
    first, count = first_corner(piece), len(drawing.corners)
    at, end = (side.start - first) % count, (side.end - first) % count
    places = [_place_on_edge(drawing, number) for number in (at, end)]
    if places[1] >= places[0]:
        return np.asarray(drawing.edge[places[0] : places[1] + 1])
    return np.concatenate([drawing.edge[places[0] :], drawing.edge[: places[1] + 1]])


def _place_on_edge(drawing: PieceDrawing, corner: int) -> int:
    """Where a corner stands among the points of the edge."""
    return int(np.abs(drawing.edge - drawing.corners[corner]).sum(axis=1).argmin())
