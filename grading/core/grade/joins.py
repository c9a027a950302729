"""Joins: edges that are sewn, picked up or set in, measured in every size and compared."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.dimensions import LENGTH, STITCH
from grading.core.formula.errors import FormulaError
from grading.core.grade.edge_fabrics import fabric_along
from grading.core.grade.edge_words import edge_labels, edges_said, said
from grading.core.grade.pieces import dimension_lines_of, first_corner
from grading.core.pattern.pattern import (
    FabricEntry,
    JoinEdge,
    JoinEntry,
    PatternFile,
    PickUpEntry,
    PieceEntry,
    PieceSide,
)
from grading.core.shaping.curves import QUARTER_ELLIPSE, quarter_ellipse_mm
from grading.core.shaping.pick_ups import MOST_OFF_EDGE
from grading.core.sheet.findings import stop, warn
from grading.core.sheet.sheet import unknown_fabric
from grading.core.sheet.workings import Workings

Numbers = NDArray[np.float64]

TOLERANCE_MM = 1e-6
# Rates with larger numbers can't be counted while working. Source: common practice.
LARGEST_OF_RATE = 8
NEAR_ENOUGH = 0.04


class UnknownEdgeError(ValueError):
    """An edge of a join that can't be measured; says why."""


@dataclass(frozen=True)
class JoinLengths:
    """How long both sides of a join are, in mm, one entry per size; NaN where unknown."""

    edges: Numbers
    onto: Numbers


def side_problem(piece: PieceEntry, side: PieceSide) -> str | None:
    """Say which corner of a side the piece does not have.

    Args:
        piece: The piece.
        side: One of its sides.

    Returns:
        A sentence, or None.

    Source: derived.

    >>> side_problem(PieceEntry("back", "Back", (("0", "0"),) * 4), PieceSide("armhole", 3, 5))
    'The side “armhole” has no corner 5: the outline has the corners 1 to 4.'
    """
    first = first_corner(piece)
    last = first + len(piece.outline) - 1
    for number in (side.start, side.end):
        if not first <= number <= last:
            corners = f"the outline has the corners {first} to {last}"
            return f"The side “{said(side.name)}” has no corner {number}: {corners}."
    return None


def side_lengths_mm(piece: PieceEntry, side: PieceSide, corners: Numbers, shapes: dict[str, str]) -> Numbers:
    """Measure a side along the outline, its curves along their smooth edge.

    Args:
        piece: The piece; `side_problem` is None.
        side: Which corners the side runs between, onward from the first of them.
        corners: The piece's corners in mm, shape (sizes, corners, 2).
        shapes: Shapes of the pattern's curves by their names.

    Returns:
        Length in mm, one entry per size.

    Source: derived.

    >>> corners = np.array([[[0.0, 0], [300, 0], [300, 400], [0, 400]]])
    >>> square = PieceEntry("back", "Back", (("0", "0"),) * 4)
    >>> side_lengths_mm(square, PieceSide("edge", 2, 4), corners, {})
    array([700.])
    """
    first, count = first_corner(piece), corners.shape[1]
    bends, _ = dimension_lines_of(piece)
    named = {(one.start - first, one.end - first): shapes.get(one.curve or "") for one in piece.curves}
    curved = {
        tuple(sorted((bend.start - first, bend.end - first))): named[bend.start - first, bend.end - first]
        for bend in bends
    }
    length = np.zeros(len(corners))
    at, end = side.start - first, side.end - first
    while at != end:
        after = (at + 1) % count
        pair = tuple(sorted((at, after)))
        is_round = pair in curved and (curved[pair] or QUARTER_ELLIPSE) == QUARTER_ELLIPSE
        across, up = np.abs(corners[:, after] - corners[:, at]).T
        length += _round_edge(across, up) if is_round else np.hypot(across, up)
        at = after
    return length


def join_lengths(of: Workings, join: JoinEntry) -> JoinLengths:
    """Return how long the edges of a join are; report those that don't fit or can't be measured."""
    where = f"joins.{join.name}"
    of.when_is_known(join.when, where)
    both = []
    for edges in (join.edges, join.onto):
        length = np.zeros(of.made.program.sizes)
        for edge in edges:
            try:
                length = length + edge.times * _edge_mm(of, edge)
            except (UnknownEdgeError, FormulaError) as error:
                of.add(stop(where, str(error)))
                length = length + np.nan
        both.append(length)
    lengths = JoinLengths(*both)
    _report_misfits(of, join, lengths)
    _report_rates(of, join)
    return lengths


def _edge_mm(of: Workings, edge: JoinEdge) -> Numbers:
    """Measure one edge: a side, a pick-up, a length of the sheet, or stitches of a fabric."""
    if "." in edge.edge:
        return _side_mm(of, edge.edge)
    picked = {one.name: one for one in of.pattern.pick_ups}.get(edge.edge)
    stitches = picked is not None or edge.edge in {
        one.name for one in of.pattern.values if one.kind == "stitches"
    }
    numbers = of.counts(edge.edge, (STITCH,) if stitches else (LENGTH,), "edge")
    if not stitches:
        return numbers
    fabric = edge.fabric or (picked.fabric if picked else None)
    if fabric is None:
        says = f"{edges_said((JoinEdge(edge.edge),), edge_labels(of.pattern))} is in stitches: "
        says += "choose the fabric that is worked on them."
        raise UnknownEdgeError(says)
    gauges = {one.name: one.stitches_per_mm for one in of.pattern.fabrics}
    if fabric not in gauges:
        raise UnknownEdgeError(unknown_fabric(fabric))
    return numbers / gauges[fabric]


def _side_mm(of: Workings, edge: str) -> Numbers:
    """Measure a side of a piece, by the corners that were worked out for it."""
    owner, _, name = edge.partition(".")
    piece = next((one for one in of.pattern.pieces if one.name == owner), None)
    if piece is None:
        raise UnknownEdgeError(f"There is no piece “{said(owner)}”: choose a side of another piece.")
    side = next((one for one in piece.sides if one.name == name), None)
    if side is None:
        there = ", ".join(said(one.name) for one in piece.sides) or "no named sides"
        says = f"The piece “{piece.label}” has no side “{said(name)}”, but {there}: name it in the piece."
        raise UnknownEdgeError(says)
    problem = side_problem(piece, side)
    if problem:
        raise UnknownEdgeError(problem)
    made = of.parts[f"pieces.{owner}"]
    of.use(made.used)
    shapes = {one.name: one.shape for one in of.pattern.curves}
    return side_lengths_mm(piece, side, made.result, shapes)


def _round_edge(across: Numbers, up: Numbers) -> Numbers:
    """The smooth edge of a quarter of an ellipse, size by size."""
    pairs = zip(across.tolist(), up.tolist(), strict=True)
    return np.array([quarter_ellipse_mm(x, y) if math.isfinite(x + y) else math.nan for x, y in pairs])


def misfits_mm(join: JoinEntry, lengths: JoinLengths) -> Numbers:
    """Say by how much the first edges of a join are too long for the others, its ease allowed.

    Args:
        join: The join.
        lengths: What both sides measure.

    Returns:
        Length in mm, one entry per size; less than 0 where they are too short, NaN where one is unknown.

    Source: derived.

    >>> lengths = JoinLengths(np.array([420.0, 395.0, 380.0]), np.array([400.0, 400.0, 400.0]))
    >>> misfits_mm(JoinEntry("seam", "Seam", (), (), 0.05, (0.0, 10.0)), lengths)
    array([ 10.,  -5., -20.])
    """
    least, most = (lengths.onto + ease_mm for ease_mm in join.ease)
    return lengths.edges - np.minimum(np.maximum(lengths.edges, least), most)


def is_misfit(join: JoinEntry, lengths: JoinLengths, row_mm: float) -> NDArray[np.bool_]:
    """Say in which sizes the edges of a join don't fit.

    Args:
        join: The join.
        lengths: What both sides measure.
        row_mm: The height of the highest row in mm, by which an edge may miss its ease.

    Returns:
        One entry per size; False where a length is unknown.

    Where an ease is wanted, it is the range: beyond it only a row is allowed, as edges come in whole rows.
    Edges that should be longer never fit while they are shorter.

    Source: common practice for the ease; derived for the row.

    >>> cap = JoinEntry("cap", "Cap", (), (), 0.05, (10.0, 25.0))
    >>> lengths = JoinLengths(np.array([838.0, 845.0, 865.0, 880.0]), np.array([840.0] * 4))
    >>> is_misfit(cap, lengths, 6.0).tolist()
    [True, False, False, True]
    """
    off_mm = misfits_mm(join, lengths)
    allowed_mm = join.tolerance * np.abs(lengths.onto)
    if any(join.ease):
        allowed_mm = np.minimum(allowed_mm, row_mm)
    is_short = (join.ease[0] > 0) & (lengths.edges < lengths.onto - TOLERANCE_MM)
    return np.asarray((np.abs(off_mm) > allowed_mm + TOLERANCE_MM) | is_short)


def highest_row_mm(pattern: PatternFile) -> float:
    """Return the height of the highest row among the fabrics of a pattern.

    Args:
        pattern: The pattern.

    Returns:
        Height in mm; 0 without fabrics.

    Source: derived.
    """
    return max((1 / fabric.rows_per_mm for fabric in pattern.fabrics), default=0.0)


def _report_misfits(of: Workings, join: JoinEntry, lengths: JoinLengths) -> None:
    """Report the sizes in which the edges don't fit."""
    units = of.pattern.home_units
    off_mm = misfits_mm(join, lengths)
    for place in np.flatnonzero(is_misfit(join, lengths, highest_row_mm(of.pattern))).tolist():
        both_mm = float(lengths.edges[place]), float(lengths.onto[place]), float(off_mm[place])
        says = _misfit(join, both_mm, units, edge_labels(of.pattern))
        of.add(warn(f"joins.{join.name}", says, of.pattern.sizes[place]))


def _misfit(
    join: JoinEntry, lengths_mm: tuple[float, float, float], units: str, labels: Mapping[str, str]
) -> str:
    """Say which edge is how much too long or too short, and what to do."""
    edges, onto, off = (_length(mm, units) for mm in lengths_mm)
    too = "long" if lengths_mm[2] > 0 else "short"
    share = f" ({abs(lengths_mm[2]) / lengths_mm[1] * 100:.0f} %)" if lengths_mm[1] > 0 else ""
    is_one = len(join.edges) == 1 and join.edges[0].times == 1
    wanted = f" with its ease of {_range(join.ease, units)}" if any(join.ease) else ""
    return (
        f"{edges_said(join.edges, labels)}, {edges}, {'is' if is_one else 'are'} joined to "
        f"{edges_said(join.onto, labels)}, {onto}{wanted}: {off.removeprefix('-')}{share} too {too}. "
        "Change one of them until they fit."
    )


def _length(mm: float, units: str) -> str:
    """A length as a sentence names it."""
    return f"{round(mm / (25.4 if units == 'in' else 10.0), 1) + 0.0:g} {units}"


def _range(ease: tuple[float, float], units: str) -> str:
    """The ease from the least to the most."""
    least, most = (_length(mm, units) for mm in ease)
    return least if least == most else f"{least.removesuffix(f' {units}')} to {most}"


def _report_rates(of: Workings, join: JoinEntry) -> None:
    """Report pick-ups whose rate does not suit the gauges of the edge and of what is worked on it."""
    fabrics = {one.name: one for one in of.pattern.fabrics}
    picked = {one.name: one for one in of.pattern.pick_ups}
    for edge in (*join.edges, *join.onto):
        pick_up = picked.get(edge.edge)
        worked = fabrics.get(edge.fabric or (pick_up.fabric if pick_up else None) or "")
        along = fabric_along(of.pattern, pick_up, fabrics) if pick_up else None
        if pick_up is None or worked is None or along is None:
            continue
        problem = rate_problem(pick_up, along, worked)
        if problem:
            of.add(warn(f"joins.{join.name}", problem))


def rate_problem(pick_up: PickUpEntry, along: FabricEntry, worked: FabricEntry) -> str | None:
    """Say whether a pick-up takes too many or too few stitches for the gauges of both fabrics.

    Args:
        pick_up: The pick-up.
        along: The fabric of the edge.
        worked: The fabric that is worked on it.

    Returns:
        A sentence with a rate that fits, or None within 8 %.

    Source: common practice for the limit of 8 %.

    >>> edge, band = FabricEntry("main", "Main", 15, 11, 100.0), FabricEntry("band", "Band", 16, 19, 100.0)
    >>> rate_problem(PickUpEntry("front", "row ends", 36, 1, 1), edge, band)
    '“front” takes 1 per 1, 31 % too few for the gauges of Main and Band: 3 per 2 fits.'
    """
    if pick_up.along == "row ends":
        per_mm = along.rows_per_mm
    elif along.name == worked.name:
        return None  # the same stitches go on
    else:
        per_mm = along.stitches_per_mm
    wanted = worked.stitches_per_mm / per_mm
    off = pick_up.stitches / pick_up.per / wanted - 1
    if abs(off) <= MOST_OFF_EDGE + TOLERANCE_MM:
        return None
    fits = _simplest_rate(wanted)
    much = "many" if off > 0 else "few"
    return (
        f"“{said(pick_up.name)}” takes {pick_up.stitches} per {pick_up.per}, "
        f"{abs(off) * 100:.0f} % too {much} for the gauges of {along.label} and {worked.label}: "
        f"{fits.numerator} per {fits.denominator} fits."
    )


def _simplest_rate(wanted: float) -> Fraction:
    """The rate that is easiest to count of those within 4 % of what the gauges ask for."""
    near = (Fraction(max(round(wanted * per), 1), per) for per in range(1, LARGEST_OF_RATE + 1))
    tried = list(near)
    good = [rate for rate in tried if abs(rate / wanted - 1) <= NEAR_ENOUGH]
    return good[0] if good else min(tried, key=lambda rate: abs(rate / wanted - 1))
