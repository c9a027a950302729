"""The face of a pattern in a list: its garment laid flat, or its largest piece, in its middle size."""

import json
from functools import cache

import numpy as np

from catalogue.drawings.nests import Frame, Paper, edge_path, frame_of
from catalogue.drawings.worn_pieces import worn_in_sample
from grading.beginnings.begun_patterns import BegunSwatch, Start, begun_document
from grading.beginnings.constructions import constructions, lacking
from grading.core.grade.grade import Graded, grade
from grading.core.grade.pieces import Points, draw_graded
from grading.core.pattern.file import read_pattern
from grading.sizes.tables import published_tables

SIDE = 100.0  # of the square that it is drawn in
MARGIN = 4.0
Face = tuple[Frame, list[str]]
# What a construction is drawn at that nobody has begun yet: an ordinary gauge, of our own.
SWATCH = BegunSwatch(stitches=20, rows=28, weight_g=5, worked_stitches=20, worked_rows=28)


def face_of(graded: Graded) -> Face | None:
    """The outlines in a square of 100 units, whatever their own size; None where nothing can be drawn."""
    edges = _edges(graded, len(graded.sizes) // 2)
    if not edges:
        return None
    corners = np.concatenate(edges)
    (left, bottom), (right, top) = corners.min(axis=0), corners.max(axis=0)
    scale = float(max(right - left, top - bottom)) / (SIDE - 2 * MARGIN)
    wide, high = float(right - left) / scale, float(top - bottom) / scale
    beside, above = (SIDE - wide) / 2, (SIDE - high) / 2
    frame = frame_of((-beside, -above, wide + beside, high + above), graded.pattern.title)
    paper = Paper(float(left), float(top), scale)
    return frame, [edge_path(paper(edge)) for edge in edges]


@cache
def beginning_face(key: str) -> Face | None:
    """The face of a construction, in the middle size of the first table that has all it needs."""
    construction = constructions()[key]
    table = next(one for one in published_tables().values() if not lacking(construction, one))
    start = Start(
        title=construction.name,
        fabric=construction.fabrics[0],
        table=table,
        sizes=table.sizes,
        swatch=SWATCH,
        ease=construction.eases[construction.ease][0],
        sample=table.sizes[len(table.sizes) // 2],
        home_units="cm",
    )
    return face_of(grade(read_pattern(json.dumps(begun_document(construction, start)))))


def _edges(graded: Graded, middle: int) -> list[Points]:
    """The edges of the garment as worn, else that of its largest piece, each of shape (points, 2), in mm."""
    worn = worn_in_sample(graded, middle)
    if worn:
        return [one.edge for one in worn]
    drawn = [
        drawing
        for piece in graded.pattern.pieces
        if (drawing := draw_graded(piece, graded.pieces[piece.name], graded.pattern.curves)[middle])
    ]
    return [max(drawn, key=lambda one: one.area_mm2).edge] if drawn else []
