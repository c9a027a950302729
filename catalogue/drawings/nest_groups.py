"""Which sizes of a piece stand in its nest, and at which scale: the same for all pieces of a page."""

from collections.abc import Iterator, Sequence
from dataclasses import replace

import numpy as np

from catalogue.drawings.nests import Nest, draw_nest
from catalogue.drawings.pieces_in_size import Ground
from catalogue.drawings.scales import SCALES
from grading.core.grade.pieces import PieceDrawing, nest_box
from grading.core.printing.size_rows import size_groups

# What the page of an edition has across, and the gap between drawings.
ACROSS_MM, GAP_MM = 162.0, 7.0
ALIKE_MM = 0.5
SLIMMEST_NEST_MM = 16.0  # of paper
# So many lines in one nest can be told apart, and so far apart on paper, where sizes differ most.
MOST_IN_NEST, APART_MM = 5, 2.2
# Up to the second wording more sizes than so many stood in several nests.
MOST_IN_WIDE_NEST = 6
# How much smaller than the piece itself nests are drawn at the most; up to the second wording in these steps.
MOST_SMALLER_NEST = 1.7
WIDE_STEPS = (1.0, 1.25, 1.5, 1.75, 2.0)
CELLS_IN_A_GROUP = 3

Sizes = Sequence[PieceDrawing | None]
# What a piece is called, the piece in all sizes, and how much of the paper stands beside its nests, in mm.
Nested = tuple[str, Sizes, float]
Named = Sequence[tuple[str, PieceDrawing]]


def nests_of_pieces(ground: Ground, pieces: Sequence[Nested]) -> list[tuple[Nest, ...]]:
    """The nests of all pieces in the sizes that are kept, at one scale; none for a piece of like sizes.

    They are drawn smaller than the pieces themselves, as far as they may be, until those of every piece
    stand beside it.
    """
    if ground.is_wide:
        return [_wide_nests(ground, *one) for one in pieces]
    made: list[tuple[Nest, ...]] = []
    for scale in _scales(ground):
        made = [_nests(ground, label, sizes, scale) for label, sizes, _ in pieces]
        if all(stand_in_a_row(beside, its) for (_, _, beside), its in zip(pieces, made, strict=True)):
            break
    return made


def stand_in_a_row(beside_mm: float, nests: Sequence[Nest]) -> bool:
    """Whether nests stand side by side on the page, beside what takes so many mm of it already."""
    return beside_mm + sum(nest.frame.width_mm + GAP_MM for nest in nests) <= ACROSS_MM


def _scales(ground: Ground) -> list[float]:
    """Round scales for nests, from that of the pieces on."""
    most = MOST_SMALLER_NEST * ground.scale
    return [float(scale) for scale in SCALES if ground.scale <= scale <= most] or [ground.scale]


def _nests(ground: Ground, label: str, sizes: Sizes, scale: float) -> tuple[Nest, ...]:
    """The nest of one piece, with its scale."""
    named = _named(ground, sizes)
    if not _is_worth_a_nest([drawing for _, drawing in named], ground.scale):
        return ()
    shown = _told_apart(named, scale)
    nest = draw_nest(label, shown, scale=scale, type_mm=ground.type_mm, cells=CELLS_IN_A_GROUP)
    of = "All sizes" if len(shown) == len(named) else f"{len(shown)} of {len(named)} sizes"
    return (replace(nest, caption=f"{of}, 1 : {scale:g}"),)


def _told_apart(named: Named, scale: float) -> Named:
    """The first size, the last, and as many evenly between them as can be told apart on paper."""
    lows, highs = (
        np.array([[part(drawing.edge[:, side]) for side in (0, 1)] for _, drawing in named])
        for part in (np.min, np.max)
    )
    across, up = np.ptp(highs - lows, axis=0) / scale
    room = max(across / 2, up)
    most = min(len(named), MOST_IN_NEST, max(2, 1 + int(room / APART_MM)))
    return [named[place] for place in np.linspace(0, len(named) - 1, most).round().astype(int)]


def _named(ground: Ground, sizes: Sizes) -> list[tuple[str, PieceDrawing]]:
    """The sizes that are kept and have the piece, by their names."""
    names = ground.facts.pattern.sizes
    return [(names[place], drawing) for place in ground.kept if (drawing := sizes[place]) is not None]


def _groups(
    named: Sequence[tuple[str, PieceDrawing]], most: int
) -> Iterator[Sequence[tuple[str, PieceDrawing]]]:
    """Sizes that stand in one nest."""
    for part in size_groups([name for name, _ in named], most):
        yield named[part]


def _group_nests(ground: Ground, label: str, groups: Sequence[Named], scale: float) -> tuple[Nest, ...]:
    """A nest for each group of sizes."""
    return tuple(
        draw_nest(label, group, scale=scale, type_mm=ground.type_mm, cells=CELLS_IN_A_GROUP)
        for group in groups
    )


def _is_worth_a_nest(drawings: Sequence[PieceDrawing], scale: float) -> bool:
    """Whether sizes can be told apart: not in a single line, nor in a strip where all lines run together."""
    x0, y0, x1, y1 = nest_box(drawings) or (0.0, 0.0, 0.0, 0.0)
    if min(x1 - x0, y1 - y0) / scale < SLIMMEST_NEST_MM:
        return False
    first, *others = [drawing.edge for drawing in drawings]
    return any(first.shape != edge.shape or not np.allclose(first, edge, atol=ALIKE_MM) for edge in others)


def _wide_nests(ground: Ground, label: str, sizes: Sizes, beside_mm: float) -> tuple[Nest, ...]:
    """The nests of a piece up to the second wording, at a scale of its own.

    Never to be changed: records are printed with them.
    """
    named = _named(ground, sizes)
    if not _is_worth_a_nest([drawing for _, drawing in named], ground.scale):
        return ()
    groups = list(_groups(named, len(named) if ground.is_first else MOST_IN_WIDE_NEST))
    if len(groups) == 1:
        alone = draw_nest(label, named, scale=ground.scale, type_mm=ground.type_mm)
        return (replace(alone, caption="All sizes"),)
    nests: tuple[Nest, ...] = ()
    for smaller in WIDE_STEPS:
        nests = _group_nests(ground, label, groups, ground.scale * smaller)
        if stand_in_a_row(beside_mm, nests):
            break
    return nests
