"""Where to lay the tape: the piece with a measurement, in one size, that line alone and no number."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import nan

import numpy as np

from catalogue.drawings.dimension_lines import (
    ACROSS,
    CLOSE,
    OVERSHOOT,
    Measure,
    NumberSetting,
    Span,
    place_measures,
    set_number,
    straight,
)
from catalogue.drawings.nests import Frame, Paper, edge_path, frame_of
from catalogue.drawings.schematics import HIGHEST_MM, WIDEST_MM
from catalogue.drawings.worn_pieces import BACK, BODY, FRONT, armhole_of, role_of
from grading.core.grade.grade import Graded
from grading.core.grade.pieces import DimensionLine, PieceDrawing, draw_graded
from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import PieceEntry, ValueEntry

TYPE_MM = 3.4
SAME_MM = 0.5  # levels that are nearer than this are one
# What the words of a measurement say of where it lies: "{2 cm} below the armholes".
_BELOW = re.compile(
    r"(?:\{?(?P<far>\d+(?:\.\d+)?) ?(?P<unit>mm|cm|in)\}? )?\b(?:below|under|at) the (?:armhole|underarm)"
)
_MM = {"mm": 1.0, "cm": 10.0, "in": 25.4}


@dataclass(frozen=True)
class MeasuringPicture:
    """A piece with the line to measure along; `is_half` where the line goes on round the back."""

    frame: Frame
    piece: str
    edge: str
    strokes: str
    guides: str
    is_half: bool
    type_mm: float


def measuring_picture(facts: Facts, graded: Graded, value: ValueEntry, size: int) -> MeasuringPicture | None:
    """Draw where a value is measured in one size; None where no piece of that size has a line for it."""
    for piece in facts.pattern.pieces:
        sizes = draw_graded(piece, graded.pieces[piece.name], facts.pattern.curves)
        drawing = sizes[size]
        places = (
            [place for place, line in enumerate(drawing.lines) if line.value == value.name] if drawing else []
        )
        if drawing and places:
            reading = _reading(facts, value, sizes, places[0])
            return _picture(piece, value, replace(drawing, lines=(drawing.lines[places[0]],)), reading)
    return None


def _reading(
    facts: Facts, value: ValueEntry, sizes: Sequence[PieceDrawing | None], place: int
) -> NumberSetting:
    """How the line shows its value, over all sizes."""
    numbers = [nan if number is None else float(number) for number in facts.row(value.name)]
    lines = [drawing.lines[place] if drawing else None for drawing in sizes]
    return set_number(lines, numbers, around=bool(value.measured and value.measured.around))


def _picture(
    piece: PieceEntry, value: ValueEntry, drawing: PieceDrawing, reading: NumberSetting
) -> MeasuringPicture:
    """Lay the one line beside the piece; its number stays out, so that nobody types what is wanted."""
    left, bottom, right, top = drawing.box
    scale = max((right - left) / WIDEST_MM, (top - bottom) / HIGHEST_MM)
    measures, box = place_measures(drawing, [reading], scale=scale, type_mm=TYPE_MM)
    line = _below_armhole(piece, value, drawing) or _within(drawing)
    if reading.way == ACROSS and line:
        measures, box = [_inside(line, Paper(left, top, scale))], _box_of(drawing, scale)
    half = reading.parts == 2
    title = f"{piece.label}: {value.label} is measured as far as the marked line goes" + (
        ", and on round the other side." if half else "."
    )
    return MeasuringPicture(
        frame=frame_of(box, title),
        piece=piece.label,
        edge=edge_path(Paper(left, top, scale)(drawing.edge)),
        strokes="".join(one.strokes for one in measures),
        guides="".join(one.guides for one in measures),
        is_half=half,
        type_mm=TYPE_MM,
    )


def _below_armhole(piece: PieceEntry, value: ValueEntry, drawing: PieceDrawing) -> DimensionLine | None:
    """The line as far below the armholes as the words say; None where they don't, or it would be longer."""
    said = _BELOW.search(value.measured.how) if value.measured else None
    armhole = armhole_of(piece, drawing.corners) if role_of(piece) in (BODY, BACK, FRONT) else None
    if said is None or armhole is None:
        return None
    far_mm = float(said["far"]) * _MM[said["unit"]] if said["far"] else 0.0
    level = max(float(armhole.under[1]) - far_mm, drawing.box[1])
    return _across(drawing, level)


def _within(drawing: PieceDrawing) -> DimensionLine | None:
    """The line where its ends lie, as just above a rib; None where that is at top or bottom, or aslant."""
    line, (_, bottom, _, top) = drawing.lines[0], drawing.box
    level = float(line.start[1])
    if abs(level - float(line.end[1])) > SAME_MM or not bottom + SAME_MM < level < top - SAME_MM:
        return None
    return _across(drawing, level)


def _across(drawing: PieceDrawing, level: float) -> DimensionLine | None:
    """The one line of a drawing from edge to edge at a level; None where it would be longer or shorter."""
    line, across = drawing.lines[0], _crossings(drawing, level)
    if not across or abs(max(across) - min(across) - line.length_mm) > CLOSE * line.length_mm:
        return None
    return DimensionLine(line.value, (min(across), level), (max(across), level))


def _crossings(drawing: PieceDrawing, level: float) -> list[float]:
    """Where the edge of a piece meets a level, in mm from its left."""
    found = []
    for (x0, y0), (x1, y1) in zip(drawing.edge, np.roll(drawing.edge, -1, axis=0), strict=True):
        if y0 != y1 and min(y0, y1) <= level <= max(y0, y1):
            found.append(float(x0 + (x1 - x0) * (level - y0) / (y1 - y0)))
    return found


def _inside(line: DimensionLine, paper: Paper) -> Measure:
    """A level line that lies in the piece, where the tape lies."""
    (start, end) = paper(np.array([line.start, line.end])).tolist()
    span = Span(1, (start[0], start[1]), (end[0], end[1]), ACROSS)
    return replace(straight(span, start[1], TYPE_MM), guides="")


def _box_of(drawing: PieceDrawing, scale: float) -> tuple[float, float, float, float]:
    """The box that holds the piece alone, with the ticks of a line at its edge."""
    left, bottom, right, top = drawing.box
    tick = OVERSHOOT * TYPE_MM
    return -tick, -tick, (right - left) / scale + tick, (top - bottom) / scale + tick
