"""Joining: the pieces side by side, the letters of joins at their edges, and the rates of pick-ups."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from string import ascii_uppercase
from textwrap import wrap

import numpy as np
from numpy.typing import NDArray

from catalogue.drawings.dimension_lines import DISC, SPOTS, free_spot
from catalogue.drawings.join_words import both_lengths, joined_words, short_label
from catalogue.drawings.joined_edges import JOINED, LISTED, WORKED, LetteredEdge, lettered_edges, points_of
from catalogue.drawings.nests import LETTER_WIDTH, Frame, edge_path, frame_of
from grading.core.grade.grade import Graded
from grading.core.grade.pieces import PieceDrawing, draw_graded, first_corner
from grading.core.instructions.choice_words import only_with
from grading.core.instructions.facts import Facts
from grading.core.instructions.steps import when_told
from grading.core.pattern.pattern import JoinEntry, PieceEntry
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.wording import listed

Points = NDArray[np.float64]

WIDEST_MM, HIGHEST_MM, GAP_MM = 160.0, 36.0, 7.0
# Larger letters need larger pieces; the margins of large print are narrow.
WIDEST_LARGE_MM, HIGHEST_LARGE_MM, LARGER_FROM_MM = 178.0, 48.0, 4.0
STRAIGHT_MM = 2.0
# A page has room for so high a picture below two headings and above its first joins. Names are broken where a
# row would hold fewer than three of them.
HIGHEST_ALL_MM, HIGHEST_ALL_LARGE_MM, NAMES_A_ROW = 150.0, 118.0, 3
FINER, LINE = 1.1, 1.2
# Letters that stand beside each other just don't touch.
HAIR_MM = 0.02


@dataclass(frozen=True)
class EdgeMark:
    """A letter at an edge, and how what has the letter meets there.

    It is light on dark where the edge is joined to all others with its letter.
    """

    letter: str
    x: float
    y: float
    meets: str = ""

    @property
    def is_dark(self) -> bool:
        """Whether it is light on dark."""
        return self.meets == JOINED


@dataclass(frozen=True)
class JoinedPiece:
    """A piece in the picture: its edge, its name and the lines of this, each with its height, from x on."""

    edge: str
    label: str
    x: float
    lines: tuple[tuple[float, str], ...]


@dataclass(frozen=True)
class JoinRow:
    """A join: its letter, what it is called, what is joined to what, and how long it is."""

    letter: str
    label: str
    words: str
    length: str


@dataclass(frozen=True)
class Joining:
    """All joins of a pattern: the picture, where it has pieces with sides, and the list.

    `sides` are drawn whole, `broken` are edges at which nothing but other parts are put or worked.
    """

    frame: Frame | None
    pieces: tuple[JoinedPiece, ...]
    sides: str
    broken: str
    marks: tuple[EdgeMark, ...]
    markers: str
    rows: tuple[JoinRow, ...]
    type_mm: float
    disc_mm: float

    @property
    def has_single(self) -> bool:
        """Whether a letter stands at one edge alone."""
        letters = [one.letter for one in self.marks]
        return any(letters.count(letter) == 1 for letter in letters)

    @property
    def has_joined(self) -> bool:
        """Whether an edge is joined to all others with its letter."""
        return any(one.meets == JOINED for one in self.marks)

    @property
    def has_worked(self) -> bool:
        """Whether something is put or worked at an edge."""
        return any(one.meets == WORKED for one in self.marks)

    @property
    def listed(self) -> str:
        """Letters of edges of which the list alone tells how they meet."""
        return listed(sorted({one.letter for one in self.marks if one.meets == LISTED}))


def _letters() -> Iterator[str]:
    """A to Z, then AA, AB and on."""
    yield from ascii_uppercase
    yield from (f"{first}{second}" for first in ascii_uppercase for second in ascii_uppercase)


def joining_picture(
    facts: Facts,
    graded: Graded,
    edition: PrintForm,
    kept: Sequence[int],
    *,
    type_mm: float,
    share: float = 1.0,
) -> Joining:
    """Draw the pieces that are joined and list the joins; nothing in drawings of the first wording.

    The highest piece takes a share of the height that it may have at the most; letters stay as large.
    """
    pattern = facts.pattern
    joins = () if pattern.wording == FIRST_WORDING else pattern.joins
    lettered = dict(zip(_letters(), joins, strict=False))
    edges = lettered_edges(facts, lettered)
    place = kept[len(kept) // 2]
    drawn = [
        (piece, drawing)
        for piece in pattern.pieces
        if any(one.piece == piece for one in edges)
        and (drawing := draw_graded(piece, graded.pieces[piece.name], pattern.curves)[place])
    ]
    at_sides = Counter((one.piece.name, one.side) for one in edges)
    layout = _Layout(facts, edition, drawn, type_mm, share, max(at_sides.values(), default=1))
    for piece, drawing in drawn:
        layout.add(piece, drawing, [one for one in edges if one.piece == piece], place)
    rows = tuple(_row(letter, join, facts, graded, (edition, kept)) for letter, join in lettered.items())
    return Joining(
        frame=layout.frame(),
        pieces=tuple(layout.pieces),
        sides="".join(layout.sides),
        broken="".join(layout.broken),
        marks=tuple(layout.marks),
        markers="".join(layout.markers),
        rows=rows,
        type_mm=type_mm,
        disc_mm=round(DISC * type_mm, 2),
    )


class _Layout:
    """Sets pieces side by side in rows, all at one scale, with the letters of their sides."""

    def __init__(
        self,
        facts: Facts,
        edition: PrintForm,
        drawn: Sequence[tuple[PieceEntry, PieceDrawing]],
        type_mm: float,
        share: float,
        most_at_a_side: int,
    ) -> None:
        self.facts, self.edition, self.type_mm = facts, edition, type_mm
        tallest = max((one.box[3] - one.box[1] for _, one in drawn), default=1.0)
        widest = max((one.width_mm for _, one in drawn), default=1.0)
        is_large = type_mm > LARGER_FROM_MM
        highest, self.widest = (HIGHEST_LARGE_MM, WIDEST_LARGE_MM) if is_large else (HIGHEST_MM, WIDEST_MM)
        self.scale = max(tallest / (share * highest), widest / (self.widest / 2.4))
        self.is_wide = facts.pattern.wording <= WIDE_WORDING
        self.gap_mm = GAP_MM + 2.1 * DISC * type_mm * (0 if self.is_wide else most_at_a_side - 1)
        self.x = self.right = 0.0
        self.y, self.row_of_pieces = 0.0, 0
        self.rows_mm, self.names_mm = self._heights(drawn)
        most = HIGHEST_ALL_LARGE_MM if is_large else HIGHEST_ALL_MM
        while not self.is_wide and sum(self.rows_mm) > max(most - sum(self.names_mm), most / 2):
            self.scale *= FINER
            self.rows_mm, self.names_mm = self._heights(drawn)
        self.pieces: list[JoinedPiece] = []
        self.sides: list[str] = []
        self.broken: list[str] = []
        self.marks: list[EdgeMark] = []
        self.markers: list[str] = []
        self.letters: list[list[str]] = []
        self.taken: list[tuple[float, float]] = []
        self.marked: list[Points] = []
        self.apart = 2.1 * DISC * type_mm

    def _name(self, piece: PieceEntry, drawing: PieceDrawing) -> list[str]:
        """The name of a piece in lines: no wider than the piece, or than its part of a row."""
        label = short_label(self.facts.plain(piece.label, self.edition))
        if self.is_wide:
            return [label]
        room = max(drawing.width_mm / self.scale, self.widest / NAMES_A_ROW - GAP_MM)
        return wrap(label, int(room / (LETTER_WIDTH * self.type_mm)), break_long_words=False) or [""]

    def _width(self, piece: PieceEntry, drawing: PieceDrawing) -> float:
        """The room that a piece takes with its name, in mm."""
        longest = max(len(line) for line in self._name(piece, drawing))
        return max(drawing.width_mm / self.scale, longest * LETTER_WIDTH * self.type_mm)

    def _heights(self, drawn: Sequence[tuple[PieceEntry, PieceDrawing]]) -> tuple[list[float], list[float]]:
        """How tall each row of pieces is, and what stands below it, in mm."""
        heights, lines, x = [0.0], [1], 0.0
        for piece, drawing in drawn:
            wide = self._width(piece, drawing)
            if x and x + wide > self.widest:
                heights.append(0.0)
                lines.append(1)
                x = 0.0
            heights[-1] = max(heights[-1], (drawing.box[3] - drawing.box[1]) / self.scale)
            lines[-1] = max(lines[-1], len(self._name(piece, drawing)))
            x += wide + self.gap_mm
        return heights, [(4.2 + LINE * (more - 1)) * self.type_mm for more in lines]

    def frame(self) -> Frame | None:
        """The box of the picture; None for an empty one."""
        if not self.pieces:
            return None
        letters = "; ".join(
            f"{one.label}: {', '.join(letters)}"
            for one, letters in zip(self.pieces, self.letters, strict=True)
        )
        bottom = self.y + self.rows_mm[-1] + self.names_mm[-1] - 2 * self.type_mm
        air = DISC * self.type_mm + 0.6
        words = f"The pieces with a letter at each edge that is joined. {letters}."
        marks = [] if self.is_wide else self.marks
        left, right = min([0.0, *(one.x for one in marks)]), max([self.right, *(one.x for one in marks)])
        top = min([0.0, *(one.y for one in marks)])
        return frame_of((left - air, top - air, right + air, bottom), words)

    def add(
        self, piece: PieceEntry, drawing: PieceDrawing, edges: Sequence[LetteredEdge], place: int
    ) -> None:
        """Set one more piece with its lettered edges, in one size."""
        wide = self._width(piece, drawing)
        if self.pieces and self.x + wide > self.widest:
            below = self.names_mm[self.row_of_pieces]
            self.x, self.y = 0.0, self.y + self.rows_mm[self.row_of_pieces] + below
            self.row_of_pieces += 1
        left, bottom = drawing.box[0], drawing.box[1]
        x0, y0 = self.x, self.y + self.rows_mm[self.row_of_pieces]

        def on_paper(points: Points) -> Points:
            return np.column_stack(
                [(points[:, 0] - left) / self.scale + x0, y0 - (points[:, 1] - bottom) / self.scale]
            )

        edge = on_paper(drawing.edge)
        name = self._name(piece, drawing)
        lines = tuple((round(y0 + (1.7 + LINE * at) * self.type_mm, 2), line) for at, line in enumerate(name))
        self.pieces.append(JoinedPiece(edge_path(edge), " ".join(name), round(x0, 2), lines))
        self.letters.append([])
        centre = (edge.min(axis=0) + edge.max(axis=0)) / 2
        for corner in _marker_corners(piece, drawing):
            at = on_paper(drawing.corners[[corner]])[0]
            self.markers.append(_marker(at, centre, self.type_mm))
            if not self.is_wide:
                self.marked.append(at)
        sides: list[tuple[Points, list[LetteredEdge]]] = []
        for side in (*piece.sides, None):
            there = [one for one in edges if one.side == side]
            points = points_of(there[0], drawing, self.facts, place) if there else None
            if points is not None:
                sides.append((on_paper(points), there))
                self.letters[-1] += [one.letter for one in there]
        # Letters of short sides come first: on long ones there is room beside them.
        for points, there in sides if self.is_wide else sorted(sides, key=lambda one: _length(one[0])):
            self._add_side(points, there, centre)
        self.x += wide + self.gap_mm
        self.right = max(self.right, self.x - self.gap_mm)

    def _add_side(self, points: Points, there: Sequence[LetteredEdge], centre: Points) -> None:
        """A strong line along a side, whole where it meets another, with its first letter on it.

        The others stand outside beside that. Letters move inwards where others stand on the line. Up to the
        second wording all stood inside.
        """
        is_broken = not self.is_wide and all(one.meets == WORKED for one in there)
        (self.broken if is_broken else self.sides).append(edge_path(points, closed=False))
        middle = _along(points, 0.5)
        inward = centre - middle
        if not self.is_wide:
            width, height = np.ptp(points, axis=0)
            inward = inward * ([1.0, 0.0] if height > width else [0.0, 1.0])
        inward = inward / (np.hypot(*inward) or 1.0)
        for number, one in enumerate(there):
            first = 1.5 * (1 + number) if self.is_wide else 0.0
            depths = [self.type_mm * (first + more * 1.5) for more in range(3)]
            along = sorted((_along(points, share) for share in SPOTS), key=self._hides_marker)
            spots = [at + inward * depth for depth in depths for at in along]
            if number and not self.is_wide:
                spots = [np.array(self.taken[-1]) - inward * (self.apart + HAIR_MM), *spots]
            x, y = free_spot(spots, self.taken, self.apart)
            meets = "" if self.is_wide else one.meets
            self.marks.append(EdgeMark(one.letter, round(x, 2), round(y, 2), meets))
            self.taken.append((self.marks[-1].x, self.marks[-1].y))

    def _hides_marker(self, at: Points) -> bool:
        """Whether a letter there would hide a triangle."""
        return any(np.hypot(*(at - marked)) < self.apart for marked in self.marked)


def _marker_corners(piece: PieceEntry, drawing: PieceDrawing) -> Iterator[int]:
    """Corners where two named sides meet on a straight edge: nothing but a marker tells where."""
    first, count = first_corner(piece), len(drawing.corners)
    starts = {(side.start - first) % count for side in piece.sides}
    for corner in sorted({(side.end - first) % count for side in piece.sides} & starts):
        before = drawing.corners[corner] - drawing.corners[corner - 1]
        after = drawing.corners[(corner + 1) % count] - drawing.corners[corner]
        off = abs(before[0] * after[1] - before[1] * after[0]) / (np.hypot(*before) or 1.0)
        if off <= STRAIGHT_MM and before @ after > 0 and _is_of_row_ends(piece, after):
            yield corner


def _is_of_row_ends(piece: PieceEntry, along: Points) -> bool:
    """Whether an edge lies along the ends of rows: on one along stitches these are counted, not marked."""
    is_upright = abs(along[1]) > abs(along[0])
    return bool(is_upright != (piece.direction in ("left", "right")))


def _marker(at: Points, centre: Points, type_mm: float) -> str:
    """A small triangle outside the edge that points to it."""
    out = np.array([1.0 if at[0] > centre[0] else -1.0, 0.0]) * 0.75 * type_mm
    up = np.array([0.0, 0.4 * type_mm])
    return edge_path(np.array([at, at + out - up, at + out + up]))


def _length(points: Points) -> float:
    """How long a broken line is."""
    return float(np.hypot(*np.diff(points, axis=0).T).sum())


def _along(points: Points, share: float) -> Points:
    """The point of a broken line after a share of its length."""
    steps = np.hypot(*np.diff(points, axis=0).T)
    half, gone = steps.sum() * share, 0.0
    for before, after, step in zip(points, points[1:], steps, strict=False):
        if step and gone + step >= half:
            return np.asarray(before + (after - before) * (half - gone) / step)
        gone += step
    return np.asarray(points[0])


def _row(
    letter: str, join: JoinEntry, facts: Facts, graded: Graded, form: tuple[PrintForm, Sequence[int]]
) -> JoinRow:
    """A join in words, with its length in every size."""
    edition, kept = form
    lengths = graded.joins[join.name]
    when = when_told(join.when, facts, edition)
    label = facts.plain(join.label, edition)
    return JoinRow(
        letter,
        only_with(label, when, facts.pattern.wording),
        joined_words(join, facts, edition),
        both_lengths(join, lengths, facts, form) if np.isfinite(lengths.onto[list(kept)]).all() else "",
    )
