"""Schematics: every piece to scale with its dimension lines, and all sizes one inside the other."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import ceil, inf, nan, prod

from catalogue.drawings.found_lines import found_lines, is_strip
from catalogue.drawings.nest_groups import nests_of_pieces, stand_in_a_row
from catalogue.drawings.nests import Nest
from catalogue.drawings.pieces_in_size import (
    Ground,
    PieceInSize,
    drawn_between,
    found_line,
    measured_line,
    of_one_piece,
    piece_in_size,
)
from catalogue.drawings.scales import ALL_ROOM, Room, scales_between
from grading.core.grade.grade import Graded
from grading.core.grade.pieces import PieceDrawing, draw_graded, mirror_drawing, nest_box
from grading.core.instructions.choice_words import only_with
from grading.core.instructions.facts import Facts
from grading.core.instructions.steps import when_headed, when_told
from grading.core.pattern.pattern import PieceEntry
from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.wording import listed, size_names

SCALES = scales_between(1, 50)
WIDEST_MM = 80.0
HIGHEST_MM = 92.0
# How far a scale gives way to drawings that stand side by side.
MOST_SMALLER = 1.6
# Smaller than so much of paper across its shorter side, the largest piece is smaller than its numbers.
LEAST_MM = 35.0
TYPE_MM = 3.0
# Numbers in drawings on a screen are read from farther away.
SCREEN_TYPE_MM = 3.4

_SIDES = {"left": "right", "right": "left"}
_SIDE = re.compile(r"\b(left|right)\b", re.IGNORECASE)


@dataclass(frozen=True)
class KeyLine:
    """A measurement of a piece: its number in the drawing, its name, how it is shown, its numbers."""

    number: int
    label: str
    note: str
    texts: str


@dataclass(frozen=True)
class Schematic:
    """One piece: for which choices, drawn in one size, its key, and the nest where there are several."""

    name: str
    label: str
    when: str
    scale: str
    piece: PieceInSize
    key: tuple[KeyLine, ...]
    nests: tuple[Nest, ...] = ()

    @property
    def nest(self) -> Nest | None:
        """The first nest, or none."""
        return next(iter(self.nests), None)


def schematics(
    facts: Facts,
    graded: Graded,
    edition: PrintForm,
    kept: Sequence[int],
    *,
    type_mm: float = TYPE_MM,
    room: Room = ALL_ROOM,
) -> list[Schematic]:
    """Draw every piece of a pattern for the sizes that are kept; a piece that no size has is left out.

    They take a share of the room that they may have at the most; their words stay as large. The largest has
    `least_mm` of paper across its shorter side, as far as all of the room lets it.
    """
    pattern = facts.pattern
    drawn = [
        (piece, sizes)
        for piece in pattern.pieces
        if any(
            (sizes := draw_graded(piece, graded.pieces[piece.name], pattern.curves))[place] for place in kept
        )
        and (pattern.wording == FIRST_WORDING or not is_strip(sizes))
    ]
    tried: list[list[Schematic]] = []
    for scale in _scales([sizes for _, sizes in drawn], kept, room):
        ground = Ground(facts, graded, edition, kept, scale, type_mm)
        tried.append(_with_nests(ground, [(_schematic(ground, *one), one[1]) for one in drawn]))
        if all(_stand_side_by_side(one, is_wide=ground.is_wide) for one in tried[-1]):
            return tried[-1]
    return tried[0]


def strips(facts: Facts, graded: Graded, edition: PrintForm, kept: Sequence[int]) -> dict[str, str]:
    """The plain strips of a pattern in words, by piece: ties, belts and bands need no drawing."""
    if facts.pattern.wording == FIRST_WORDING:
        return {}
    ground = Ground(facts, graded, edition, kept, 1.0, TYPE_MM)
    found = {}
    for piece in facts.pattern.pieces:
        sizes = draw_graded(piece, graded.pieces[piece.name], facts.pattern.curves)
        if not is_strip(sizes) or not any(sizes[place] for place in kept):
            continue
        boxes = [
            (nan, nan) if drawing is None else (drawing.width_mm, drawing.box[3] - drawing.box[1])
            for drawing in sizes
        ]
        drawn = [place for place in kept if sizes[place]]
        long = _of_drawn(ground, [max(box) for box in boxes], drawn)
        wide = _of_drawn(ground, [min(box) for box in boxes], drawn)
        label, when = facts.plain(piece.label, edition), when_told(piece.when, facts, edition)
        if len(drawn) < len(kept):
            names = listed(size_names(drawn, facts.voice(edition, tuple(drawn))))
            when = "; ".join(one for one in (when, f"size{'s' if drawn[1:] else ''} {names} only") if one)
        label = only_with(label, when, facts.pattern.wording)
        found[piece.name] = f"{label}: a strip, {long} long and {wide} wide."
    return found


def _of_drawn(ground: Ground, numbers: Sequence[float], drawn: Sequence[int]) -> str:
    """One length that the sizes that are drawn share; else every size keeps its place."""
    shared = ground.lengths(numbers, drawn)
    return shared if shared == ground.lengths(numbers, drawn[:1]) else ground.lengths(numbers, ground.kept)


def _scales(pieces: Sequence[Sequence[PieceDrawing | None]], kept: Sequence[int], room: Room) -> list[float]:
    """Round scales for all pieces: the largest at which the largest fits its room, and a few smaller ones."""
    boxes = [box for sizes in pieces if (box := nest_box([sizes[place] for place in kept]))]
    sides = [(x1 - x0, y1 - y0) for x0, y0, x1, y1 in boxes]
    all_room = max((max(across / WIDEST_MM, up / HIGHEST_MM) for across, up in sides), default=1.0)
    readable = min(max(sides, key=prod)) / room.least_mm if sides and room.least_mm else inf
    needed = min(max(all_room, min(all_room / room.share, readable)), room.smallest)
    fitting = [scale for scale in SCALES if scale >= needed - 1e-9] or [float(ceil(needed / 10) * 10)]
    smallest = max(min(fitting[0] * MOST_SMALLER, room.smallest), fitting[0])
    return [scale for scale in fitting if scale <= smallest]


def _with_nests(
    ground: Ground, drawn: Sequence[tuple[Schematic, Sequence[PieceDrawing | None]]]
) -> list[Schematic]:
    """Pieces with their nests beside them."""
    nested = [(one.label, _as_held(ground, sizes), one.piece.frame.width_mm) for one, sizes in drawn]
    nests = nests_of_pieces(ground, nested)
    return [replace(one, nests=its) for (one, _), its in zip(drawn, nests, strict=True)]


def _as_held(ground: Ground, sizes: Sequence[PieceDrawing | None]) -> Sequence[PieceDrawing | None]:
    """A piece for the hand of the edition."""
    return [drawing and mirror_drawing(drawing) for drawing in sizes] if ground.mirrored else sizes


def _stand_side_by_side(one: Schematic, *, is_wide: bool) -> bool:
    """Whether a piece and its nests stand beside each other; several once gave way by themselves."""
    return (is_wide and len(one.nests) != 1) or stand_in_a_row(one.piece.frame.width_mm, one.nests)


def _schematic(ground: Ground, piece: PieceEntry, sizes: Sequence[PieceDrawing | None]) -> Schematic:
    """Draw one piece, without its nests."""
    sizes = _as_held(ground, sizes)
    known = [place for place in ground.kept if sizes[place] is not None]
    shown = known[len(known) // 2]
    drawing = sizes[shown]
    if drawing is None:
        raise AssertionError("The size that is shown was chosen among those that are drawn.")
    label = ground.facts.plain(piece.label, ground.edition)
    label = _SIDE.sub(_other_side, label) if ground.mirrored else label
    lines = [measured_line(ground, sizes, place) for place in range(len(piece.dimensions))]
    more = [] if ground.is_first else found_lines(piece, drawing, is_wide=ground.is_wide)
    lines += [found_line(one, sizes) for one in more]
    drawing = replace(drawing, lines=(*drawing.lines, *(drawn_between(one, drawing) for one in more)))
    if not ground.is_wide:
        drawn = [[one.lines[at] if one else None for one in sizes] for at in range(len(piece.dimensions))]
        lines = [of_one_piece(*one) for one in zip(lines, drawn, strict=False)] + lines[len(drawn) :]
    key = tuple(
        KeyLine(
            number,
            line.label,
            line.note or ("all round; half of it is drawn" if line.setting.parts == 2 else ""),
            ground.lengths_of(line, ground.kept),
        )
        for number, line in enumerate(lines, 1)
    )
    return Schematic(
        name=piece.name,
        label=label,
        when=when_headed(piece.when, ground.facts, ground.edition),
        scale=f"1 : {ground.scale:g}",
        piece=piece_in_size(ground, label, drawing, lines, shown),
        key=key,
    )


def _other_side(found: re.Match[str]) -> str:
    """Left for right and right for left, with the capital kept."""
    other = _SIDES[found.group().lower()]
    return other.capitalize() if found.group()[0].isupper() else other
