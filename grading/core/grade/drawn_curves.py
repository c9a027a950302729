"""Curves as they are drawn in pieces: as long as they are worked."""

import math

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.dimensions import LENGTH
from grading.core.grade.pieces import first_corner
from grading.core.pattern.pattern import CurveEntry, PieceEntry
from grading.core.shaping.curves import STRAIGHT, quarter_ellipse_mm
from grading.core.sheet.findings import warn
from grading.core.sheet.workings import Workings

Numbers = NDArray[np.float64]

# A drawing may round its corners; by more than this it shows another edge (derived: seams may differ by 5 %).
MOST_OFF, LEAST_OFF_MM = 0.15, 15.0


def notice_drawn_curves(of: Workings, piece: PieceEntry, outline: Numbers) -> None:
    """Report curves of a piece that are drawn longer or shorter than they are worked.

    Args:
        of: The pattern as it is worked out.
        piece: The piece.
        outline: Its corners in mm, shape (sizes, corners, 2).
    """
    # A curve without a fabric has no length.
    curves = {curve.name: curve for curve in of.pattern.curves if curve.fabric is not None}
    first, count = first_corner(piece), outline.shape[1]
    for one in piece.curves:
        start, end = one.start - first, one.end - first
        if one.curve not in curves or one.start == one.end or not (0 <= start < count and 0 <= end < count):
            continue
        curve = curves[one.curve]
        worked = of.number(f"{curve.name}.length", LENGTH, "A curve has a length", f"pieces.{piece.name}")
        sides = np.abs(outline[:, end] - outline[:, start])
        for size, worked_mm, (across, up) in zip(
            of.pattern.sizes, worked.tolist(), sides.tolist(), strict=True
        ):
            drawn_mm = math.hypot(across, up) if curve.shape == STRAIGHT else quarter_ellipse_mm(across, up)
            if abs(drawn_mm - worked_mm) > max(LEAST_OFF_MM, MOST_OFF * worked_mm):
                says = _says(curve, (one.start, one.end), (drawn_mm, worked_mm), of.pattern.home_units)
                of.add(warn(f"pieces.{piece.name}", says, size))


def _says(curve: CurveEntry, corners: tuple[int, int], lengths_mm: tuple[float, float], units: str) -> str:
    drawn, worked = (f"{mm / (25.4 if units == 'in' else 10.0):.1f} {units}" for mm in lengths_mm)
    return (
        f"The curve “{curve.name}” is {worked} long, and drawn {drawn} from corner {corners[0]} to "
        f"{corners[1]}. "
        "Change the corners, or the width and depth of the curve, until they fit."
    )
