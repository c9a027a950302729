"""The face of a pattern in a list: its largest piece, in the middle of its sizes."""

from catalogue.drawings.nests import Frame, Paper, edge_path, frame_of
from grading.core.grade.grade import Graded
from grading.core.grade.pieces import draw_graded

SIDE = 100.0  # of the square that it is drawn in
MARGIN = 4.0


def face_of(graded: Graded) -> tuple[Frame, str] | None:
    """The outline in a square of 100 units, whatever its own size; None where nothing can be drawn."""
    middle = len(graded.sizes) // 2
    drawn = []
    for piece in graded.pattern.pieces:
        drawing = draw_graded(piece, graded.pieces[piece.name], graded.pattern.curves)[middle]
        if drawing is not None:
            drawn.append(drawing)
    if not drawn:
        return None
    largest = max(drawn, key=lambda one: one.area_mm2)
    left, bottom, right, top = largest.box
    scale = max(right - left, top - bottom) / (SIDE - 2 * MARGIN)
    wide, high = (right - left) / scale, (top - bottom) / scale
    beside, above = (SIDE - wide) / 2, (SIDE - high) / 2
    frame = frame_of((-beside, -above, wide + beside, high + above), graded.pattern.title)
    return frame, edge_path(Paper(left, top, scale)(largest.edge))
