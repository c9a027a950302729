"""Curves as they are drawn in pieces: as long as they are worked."""

import math

from grading.core.formula.dimensions import LENGTH
from grading.core.grade.drawn_lengths import Numbers, drawn_beside, has_corners, in_home_units, is_off
from grading.core.pattern.pattern import PieceEntry
from grading.core.shaping.curves import STRAIGHT, quarter_ellipse_mm
from grading.core.sheet.findings import warn
from grading.core.sheet.workings import Workings


def notice_drawn_curves(of: Workings, piece: PieceEntry, outline: Numbers) -> None:
    """Report curves of a piece that are drawn longer or shorter than they are worked.

    Args:
        of: The pattern as it is worked out.
        piece: The piece.
        outline: Its corners in mm, shape (sizes, corners, 2).
    """
    # A curve without a fabric has no length.
    curves = {curve.name: curve for curve in of.pattern.curves if curve.fabric is not None}
    for one in piece.curves:
        ends = (one.start, one.end)
        if one.curve not in curves or one.start == one.end or not has_corners(piece, outline, *ends):
            continue
        curve = curves[one.curve]
        worked = of.number(f"{curve.name}.length", LENGTH, "A curve has a length", f"pieces.{piece.name}")
        for size, (across, up), worked_mm in drawn_beside(of, piece, outline, ends, worked):
            drawn_mm = math.hypot(across, up) if curve.shape == STRAIGHT else quarter_ellipse_mm(across, up)
            if is_off(drawn_mm, worked_mm):
                told, drawn = in_home_units(of, worked_mm, drawn_mm)
                says = (
                    f"The curve “{curve.name}” is {told} long, and drawn {drawn} from corner {one.start} to "
                    f"{one.end}. Change the corners, or the width and depth of the curve, until they fit."
                )
                of.add(warn(f"pieces.{piece.name}", says, size))
