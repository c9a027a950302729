"""Where to lay the tape: the piece with a measurement, in one size, that line alone and no number."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from math import nan

from catalogue.drawings.dimension_lines import NumberSetting, place_measures, set_number
from catalogue.drawings.nests import Frame, Paper, edge_path, frame_of
from catalogue.drawings.schematics import HIGHEST_MM, WIDEST_MM
from grading.core.grade.grade import Graded
from grading.core.grade.pieces import PieceDrawing, draw_graded
from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import PieceEntry, ValueEntry

TYPE_MM = 3.4


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
