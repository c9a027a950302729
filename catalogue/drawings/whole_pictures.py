"""Hats, mittens, shawls and blankets laid flat with their measurements: the whole, and what belongs to it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

import numpy as np

from catalogue.drawings.colour_bands import ColourBands, colour_bands, coloured
from catalogue.drawings.found_lines import LEVEL_MM, found_lines, is_strip
from catalogue.drawings.join_words import short_label
from catalogue.drawings.laid_wholes import (
    BRIM,
    CUFF,
    PARTS,
    THUMB,
    LaidPiece,
    Sizes,
    Told,
    laid_pieces,
    placed_line,
    whole_role,
)
from catalogue.drawings.nest_groups import nests_of_pieces
from catalogue.drawings.nests import Nest, Paper, edge_path
from catalogue.drawings.pieces_in_size import (
    Ground,
    MeasuredLine,
    PieceInSize,
    drawn_between,
    found_line,
    measured_line,
    piece_in_size,
)
from catalogue.drawings.scales import ALL_ROOM, SCALES, Room
from catalogue.drawings.schematics import TYPE_MM, KeyLine
from catalogue.drawings.told_bands import bands_beside, is_in_rib
from catalogue.drawings.wide_wholes import wide_told, wide_words
from catalogue.drawings.worn_bands import level_lines
from catalogue.drawings.worn_pieces import Points, is_made, sample_choices
from grading.core.grade.grade import Graded
from grading.core.grade.pieces import PieceDrawing, draw_graded
from grading.core.instructions.choice_words import only_with
from grading.core.instructions.facts import Facts
from grading.core.instructions.steps import when_told
from grading.core.pattern.pattern import PieceEntry
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.wording import small

# Beside the list of its measurements; in large print these stand below it.
WIDEST_MM, HIGHEST_MM = 58.0, 64.0
WIDEST_LARGE_MM = 112.0
# A mitten drawn smaller than in this share of its room has no place for its numbers.
LEAST_SHARE, LEAST_SHARE_WIDE = 0.4, 0.5
WIDE_SCALES = (1, 1.5, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50)


@dataclass(frozen=True)
class WholePicture:
    """What is made, laid flat in one size.

    `key` tells its measurements, `others` in words what no line of it shows; `nests` are its
    pieces in all sizes; `pieces` names all that it shows, which need no drawing of their own; `missing` says
    which bands it does not show.
    """

    piece: PieceInSize
    key: tuple[KeyLine, ...]
    choices: str
    scale: str
    is_folded: bool
    others: tuple[str, ...]
    pieces: frozenset[str]
    nests: tuple[Nest, ...]
    missing: str = ""


def whole_picture(
    facts: Facts,
    graded: Graded,
    edition: PrintForm,
    kept: Sequence[int],
    *,
    type_mm: float,
    room: Room = ALL_ROOM,
) -> WholePicture | None:
    """Draw a whole in the middle of the sizes that are kept, with the choices that the sample has.

    `kept` are places of sizes, in size order; `type_mm` is the height of the type on paper; `room` says how
    much of its height the picture takes at most, never less than `LEAST_SHARE`, and how small it is.
    None where the pattern has no whole, where it is a plain strip, and in the first wording, whose drawings
    stay as they were.
    """
    pattern = facts.pattern
    if pattern.wording == FIRST_WORDING:
        return None
    place = kept[len(kept) // 2]
    defaults = sample_choices(pattern)
    sizes = {
        piece.name: draw_graded(piece, graded.pieces[piece.name], pattern.curves) for piece in pattern.pieces
    }
    laid = laid_pieces(
        [
            (piece, drawing)
            for piece in pattern.pieces
            if is_made(piece.when, defaults) and (drawing := sizes[piece.name][place])
        ],
        pattern.wording,
    )
    whole = next((one for one in laid if one.role in PARTS), None)
    if whole is None or is_strip(sizes[whole.piece.name]):
        return None
    edges = np.concatenate([one.edge for one in laid])
    is_wide = pattern.wording <= WIDE_WORDING
    extent = edges.max(axis=0) - edges.min(axis=0)
    scale = min(_scale(extent, room.share, type_mm, is_wide=is_wide), room.smallest)
    ground = Ground(facts, graded, edition, kept, scale, type_mm)
    told = wide_told(ground, laid, sizes) if is_wide else _told(ground, laid, sizes, place)
    leaning = [one.piece for one in laid if one.leans and not is_wide]
    in_words = wide_words if is_wide else _in_words
    composed = PieceDrawing(edges, edges, tuple(line for _, line in told))
    lines = [line for line, _ in told]
    shown = piece_in_size(ground, "Laid flat", composed, lines, place)
    on_paper = Paper(float(edges[:, 0].min()), float(edges[:, 1].max()), scale)
    others = _parts_of_other_choices(facts, whole.role, laid)
    paths = {one.piece.name: edge_path(on_paper(one.edge)) for one in laid}
    thumbs = [one.piece.name for one in laid if one.role == THUMB]
    colours = ColourBands() if is_wide else colour_bands(facts, laid, on_paper, place)
    return WholePicture(
        piece=replace(
            shown,
            under="".join(paths[name] for name in thumbs),
            edge="".join(path for name, path in paths.items() if name not in thumbs),
            lines="" if is_wide else _band_lines(facts, laid, on_paper),
            cells=colours.path,
        ),
        key=tuple(
            KeyLine(number, line.label, _note(line), ground.lengths(line.numbers, kept))
            for number, line in enumerate(lines, 1)
        ),
        choices=_choices(facts, edition, whole.role),
        scale=f"1 : {scale:g}",
        is_folded=any(line.setting.parts == 2 for line in lines),
        others=tuple(
            text for piece in [*leaning, *others] for text in in_words(ground, piece, sizes[piece.name], told)
        ),
        pieces=frozenset([*(one.piece.name for one in laid), *(piece.name for piece in others)]),
        nests=() if is_wide else tuple(_nests(ground, laid, sizes)),
        missing="" if is_wide else _missing(facts, laid, colours.drawn),
    )


def _scale(extent: Points, share: float, type_mm: float, *, is_wide: bool) -> float:
    """The largest round scale at which a whole of an extent in mm fits its room.

    What is set close is less high; it is as wide as ever, for its list has its own room beside it. Up to the
    second wording it was less wide as well, and other scales were round.
    """
    share = max(share, LEAST_SHARE_WIDE if is_wide else LEAST_SHARE)
    widest = WIDEST_MM if type_mm <= TYPE_MM else WIDEST_LARGE_MM
    room = np.array([widest * share, HIGHEST_MM * share] if is_wide else [widest, HIGHEST_MM * share])
    needed = float((extent / room).max())
    scales = WIDE_SCALES if is_wide else SCALES
    return next((float(scale) for scale in scales if scale >= needed), ceil(needed / 10) * 10.0)


def _band_lines(facts: Facts, laid: Sequence[LaidPiece], on_paper: Paper) -> str:
    """The ribs or rows of brims and cuffs."""
    return "".join(
        edge_path(on_paper(line), closed=False)
        for one in laid
        if one.role in (BRIM, CUFF)
        for line in level_lines(one.edge, on_paper.scale, is_ribbed=is_in_rib(facts, one.role))
    )


def _missing(facts: Facts, laid: Sequence[LaidPiece], drawn: Sequence[str]) -> str:
    """What is said below the picture of bands and patterns of colours that the sample has and it has not."""
    named = bands_beside(facts, [one.role for one in laid])
    in_colours = [one.label for one in coloured(facts) if one.label not in drawn]
    named += [name for name in in_colours if name not in named]
    return f"Not drawn: {', '.join(named)}." if named else ""


def _nests(ground: Ground, laid: Sequence[LaidPiece], sizes: Mapping[str, Sizes]) -> Iterator[Nest]:
    """The pieces in all sizes that are kept, captioned with their names; none where these look alike."""
    named = [(_called(ground, one.piece), sizes[one.piece.name], 0.0) for one in laid]
    for (label, _, _), nests in zip(named, nests_of_pieces(ground, named), strict=True):
        for nest in nests:
            yield replace(nest, caption=f"{label}: {small(nest.caption)}")


def _called(ground: Ground, piece: PieceEntry) -> str:
    """A piece's label without what is said of it after a comma, such as ", laid flat"."""
    return short_label(ground.facts.plain(piece.label, ground.edition)).split(",")[0]


def _parts_of_other_choices(facts: Facts, role: str, laid: Sequence[LaidPiece]) -> list[PieceEntry]:
    """Parts that are made in place of those that are drawn, where the maker chooses otherwise."""
    drawn = {one.role for one in laid}
    names = {one.piece.name for one in laid}
    return [
        piece
        for piece in facts.pattern.pieces
        if piece.name not in names
        and piece.when
        and whole_role(piece, facts.pattern.wording) in drawn & set(PARTS[role])
        and piece.dimensions
    ]


def _in_words(ground: Ground, piece: PieceEntry, sizes: Sizes, told: Sequence[Told]) -> Iterator[str]:
    """The measurements of a part in words, as far as the lines of the picture don't tell them."""
    place = next((place for place in ground.kept if sizes[place]), None)
    if place is None:
        return
    when = when_told(piece.when, ground.facts, ground.edition)
    known = {at.value for _, at in told}
    lines = [
        measured_line(ground, sizes, number)
        for number, line in enumerate(piece.dimensions)
        if line.value not in known
    ]
    for line in [*lines, *(line for line, _ in _found(ground, piece, sizes, place, told))]:
        label = only_with(line.label, when, ground.facts.pattern.wording)
        yield f"{label}: {ground.lengths(line.numbers, ground.kept)}"


def _note(line: MeasuredLine) -> str:
    """What the key adds to a line of which half is drawn."""
    return "all round; half of it is drawn" if line.setting.parts == 2 else ""


def _choices(facts: Facts, edition: PrintForm, role: str) -> str:
    """The choices that decide which pieces are shown, as the sample has them."""
    own = dict(edition.chosen)
    wanted = {role, *PARTS[role]}
    deciding = {
        name
        for piece in facts.pattern.pieces
        if whole_role(piece, facts.pattern.wording) in wanted
        for name, _ in piece.when
    }
    shown = [
        (one.name, (one.default,))
        for one in facts.pattern.options
        if one.name in deciding and one.name not in own
    ]
    return when_told(shown, facts, edition)


def _told(ground: Ground, laid: Sequence[LaidPiece], sizes: Mapping[str, Sizes], place: int) -> list[Told]:
    """The measurements of the whole and then of its parts, each value and each found length once.

    What is found at a part that leans is told in words: its own lines take the room beside it.
    """
    told: list[Told] = []
    for one in sorted(laid, key=lambda each: each.role not in PARTS):
        its_sizes = sizes[one.piece.name]
        seen = {at.value for _, at in told}
        for number, line in enumerate(one.drawing.lines):
            if line.value not in seen:
                seen.add(line.value)
                told.append(placed_line(one, measured_line(ground, its_sizes, number), line))
        if not one.leans:
            of_part = told if one.role not in PARTS else ()
            told += [placed_line(one, *each) for each in _found(ground, one.piece, its_sizes, place, of_part)]
    return told


def _found(
    ground: Ground, piece: PieceEntry, sizes: Sizes, place: int, told: Sequence[Told]
) -> Iterator[Told]:
    """The width, length and neck of a piece that no value names, but what is as long in a line told before.

    A part's are called after it: the whole may have a width as well.
    """
    drawing = sizes[place]
    if drawing is None:
        return
    is_part = whole_role(piece) not in PARTS
    for found in found_lines(piece, drawing):
        line = found_line(found, sizes)
        if any(_is_as_long(line, other) for other, _ in told):
            continue
        label = f"{_called(ground, piece)}, {line.label.lower()}" if is_part else line.label
        yield replace(line, label=label), drawn_between(found, drawing)


def _is_as_long(line: MeasuredLine, other: MeasuredLine) -> bool:
    """Whether two lines run the same way and are drawn as long as each other, in every size that has them."""
    if line.setting.way != other.setting.way:
        return False
    parts = max(other.setting.parts, 1)
    apart = np.abs(np.array(line.numbers) - np.array(other.numbers) / parts)
    return bool(np.isfinite(apart).any() and np.nanmax(apart) <= LEVEL_MM)
