"""The garment as worn, with its measurements."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, nan

import numpy as np

from catalogue.drawings.dimension_lines import DISC, LANE, OVERSHOOT, SPOTS, Box, free_spot
from catalogue.drawings.line_labels import is_inside
from catalogue.drawings.nests import Frame, Paper, edge_path, frame_of
from catalogue.drawings.pieces_in_size import Ground
from catalogue.drawings.scales import ALL_ROOM, Room, scales_between
from catalogue.drawings.worn_bands import Strip, WornBands, worn_bands
from catalogue.drawings.worn_labels import Mark, Stretch, ToldMarks, told_marks
from catalogue.drawings.worn_pieces import (
    BACK,
    BODY,
    FRONT,
    HOOD,
    SKIRT,
    SLEEVE,
    Points,
    WornPiece,
    is_made,
    role_of,
    sample_choices,
    worn_in_sample,
)
from grading.core.grade.grade import Graded
from grading.core.instructions.facts import Facts
from grading.core.instructions.steps import when_told
from grading.core.pattern.pattern import PieceDimension
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.measures import print_measure

WIDEST_MM, HIGHEST_MM = 128.0, 60.0
SCALES = scales_between(2, 60)
# With its labels it goes across the page; so many smaller scales are tried.
ACROSS_MM, SMALLER_SCALES = 162.0, 4
# The margins of large print are narrow.
ACROSS_LARGE_MM, LARGER_FROM_MM = 178.0, 4.0
# A hood makes a garment high, so that it is drawn small: in large print numbers would cover it.
HIGHEST_HOODED_MM = 90.0
AT_EDGE_MM = 3.0
# Air beyond the end of a line: half of its stroke, and a little.
HAIR_MM = 0.3
# Numbers of this size hide a garment that is drawn smaller than it may be; smaller numbers less. Since the
# third wording they stand beside it where they would.
WHOLE_FROM_MM, LEAST_SHARE = 4.5, 2 / 3
# Lines across a sleeve in so much of its length from below are told beyond the wrist.
WRIST = 0.4
ALL, OTHER_YARN = "#fbf7ee", "#e6d8ba"


@dataclass(frozen=True)
class Layer:
    """A piece in the picture: its edge as a path in mm of paper, and its fill."""

    edge: str
    fill: str


@dataclass(frozen=True)
class Band:
    """A band in the picture: its edge and the lines in it as paths in mm of paper, and its fill."""

    edge: str
    lines: str
    fill: str


@dataclass(frozen=True)
class WornLine:
    """A measurement of the garment: number, name, and its list over sizes."""

    number: int
    label: str
    texts: str


@dataclass(frozen=True)
class GarmentPicture:
    """The garment laid flat in one size."""

    frame: Frame
    size: str
    choices: str
    layers: tuple[Layer, ...]
    strokes: str
    guides: str
    marks: tuple[Mark, ...]
    key: tuple[WornLine, ...]
    scale: str
    type_mm: float
    disc_mm: float
    units: str = ""
    bands: tuple[Band, ...] = ()
    buttons: tuple[tuple[float, float, float], ...] = ()
    missing: str = ""


def garment_picture(
    facts: Facts,
    graded: Graded,
    edition: PrintForm,
    kept: Sequence[int],
    *,
    type_mm: float,
    room: Room = ALL_ROOM,
) -> GarmentPicture | None:
    """Draw the garment in the middle of the sizes; None where its pieces make none, or in old drawings.

    It is drawn as large as its room says, unless its labels need more of the page.
    """
    worn = worn_in_sample(graded, kept[len(kept) // 2])
    if facts.pattern.wording == FIRST_WORDING or not worn:
        return None
    edges = np.concatenate([one.edge for one in worn])
    low, high = edges.min(axis=0), edges.max(axis=0)
    is_wide = facts.pattern.wording <= WIDE_WORDING
    share = max(room.share, min(1.0, type_mm / WHOLE_FROM_MM) if is_wide else LEAST_SHARE)
    across_mm = ACROSS_MM if type_mm <= LARGER_FROM_MM else ACROSS_LARGE_MM
    needs_more = type_mm > LARGER_FROM_MM and not is_wide and any(one.role == HOOD for one in worn)
    most = share * np.array([WIDEST_MM, HIGHEST_HOODED_MM if needs_more else HIGHEST_MM])
    for scale in _scales(high - low, most, room.smallest, is_wide=is_wide):
        ground = Ground(facts, graded, edition, kept, scale, type_mm)
        picture = _picture(ground, worn, Paper(float(low[0]), float(high[1]), scale))
        if is_wide or picture.frame.width_mm <= across_mm:
            break
    return picture


def _scales(extent: Points, most_mm: Points, smallest: float, *, is_wide: bool) -> list[float]:
    """Round scales at which the garment fits, from the largest, and a few smaller ones for its labels."""
    needed = float(min((extent / most_mm).max(), smallest))
    found = [float(scale) for scale in SCALES if scale >= needed][:SMALLER_SCALES]
    return found or [needed if is_wide else ceil(needed / 10) * 10.0]


def _picture(ground: Ground, worn: Sequence[WornPiece], on_paper: Paper) -> GarmentPicture:
    """Draw the garment at one scale."""
    facts, edition, kept, type_mm = ground.facts, ground.edition, ground.kept, ground.type_mm
    place = kept[len(kept) // 2]
    stretches = list(_stretches(worn, on_paper, LANE * type_mm, is_wide=ground.is_wide))
    layers = [on_paper(one.edge) for one in worn]
    bands = WornBands() if ground.is_wide else worn_bands(facts, worn, place, ground.scale)
    strips = [on_paper(one.edge) for one in bands.strips]
    set_marks = (
        _old_marks(stretches, type_mm) if ground.is_wide else told_marks(stretches, ground, layers, strips)
    )
    while set_marks.crossed:
        # A number without its length would be a question: the pieces and the table tell that line.
        del stretches[set_marks.crossed[-1]]
        set_marks = told_marks(stretches, ground, layers, strips)
    lines = [_worn_line(facts, edition, kept, number, one) for number, one in enumerate(stretches, 1)]
    told = "; ".join(
        f"{line.label} {_texts(facts, edition, one.value, [place])}"
        for line, one in zip(lines, stretches, strict=True)
    )
    size = facts.pattern.sizes[place]
    title = f"The garment laid flat, size {size}. {told}"
    labels = [_grown(one, 0.4 * type_mm) for one in set_marks.boxes]
    drawn_lines = (
        []
        if ground.is_wide
        else [_grown(one, HAIR_MM) for one in _stretch_boxes(set_marks.stretches, type_mm)]
    )
    drawn_lines += [_grown(_box_of(edge), HAIR_MM) for edge in strips]
    return GarmentPicture(
        frame=_frame(np.concatenate(layers).max(axis=0), [*labels, *drawn_lines], type_mm, title.strip()),
        size=size,
        choices=_choices(facts, edition, worn),
        layers=tuple(Layer(edge_path(edge), ALL) for edge in layers),
        strokes="".join(_strokes(one, type_mm) for one in set_marks.stretches),
        guides=set_marks.guides,
        marks=set_marks.marks,
        key=tuple(lines),
        scale=f"1 : {ground.scale:g}",
        type_mm=type_mm,
        disc_mm=round(DISC * type_mm, 2),
        units=ground.units if any(mark.text for mark in set_marks.marks) else "",
        bands=tuple(_band(one, on_paper) for one in bands.strips),
        buttons=tuple(_button(one, on_paper) for one in bands.buttons),
        missing=bands.missing,
    )


def _band(one: Strip, on_paper: Paper) -> Band:
    """A band on paper."""
    lines = "".join(edge_path(on_paper(line), closed=False) for line in one.lines)
    return Band(edge_path(on_paper(one.edge)), lines, OTHER_YARN if one.is_other else ALL)


def _button(one: tuple[float, float, float], on_paper: Paper) -> tuple[float, float, float]:
    """A button on paper: its middle and its radius."""
    x, y = on_paper(np.array([one[:2]]))[0].tolist()
    return round(x, 2), round(y, 2), round(one[2] / on_paper.scale, 2)


def _box_of(edge: Points) -> Box:
    """The box of points on paper."""
    (left, top), (right, bottom) = edge.min(axis=0).tolist(), edge.max(axis=0).tolist()
    return left, top, right, bottom


def _choices(facts: Facts, edition: PrintForm, worn: Sequence[WornPiece]) -> str:
    """The choices that decide which pieces are shown, as the sample has them."""
    own = dict(edition.chosen)
    pieces = [one.piece for one in worn] + [
        piece
        for piece in facts.pattern.pieces
        if role_of(piece) and not is_made(piece.when, sample_choices(facts.pattern))
    ]
    deciding = {name for piece in pieces for name, _ in piece.when}
    shown = [
        (one.name, (one.default,))
        for one in facts.pattern.options
        if one.name in deciding and one.name not in own
    ]
    return when_told(shown, facts, edition)


def _stretches(
    worn: Sequence[WornPiece], on_paper: Paper, lane: float, *, is_wide: bool
) -> Iterator[Stretch]:
    """The measurements of the body and of one sleeve, each value once."""
    seen: set[str] = set()
    trunk = [one for one in worn if one.role in (FRONT, BACK, BODY) and not one.is_mirrored]
    whole = [one for one in trunk if _is_whole(one, worn)]
    sleeve = [one for one in worn if one.role == SLEEVE and not one.is_mirrored]
    skirt = [one for one in worn if one.role == SKIRT]
    # Since the third wording the width of the neck stands on the hood, as near to the neck as above it.
    is_below = is_wide and any(one.role == HOOD for one in worn)
    for one in [*reversed(whole), *skirt, *sleeve]:
        box = on_paper(one.edge)
        for line in one.piece.dimensions:
            if line.value in seen:
                continue
            stretch = (
                _on_sleeve(one, line, on_paper, lane)
                if one.role == SLEEVE
                else (None if is_wide else _along_edge(one, line, on_paper, lane))
                or _on_body(_ends(one, line, on_paper), line.value, box, lane * (-1 if is_below else 1))
            )
            if stretch is not None:
                seen.add(line.value)
                yield stretch


def _is_whole(one: WornPiece, worn: Sequence[WornPiece]) -> bool:
    """Whether a piece lies on the garment once."""
    return sum(other.piece is one.piece for other in worn) == 1


def _ends(one: WornPiece, line: PieceDimension, on_paper: Paper) -> Points:
    """Both ends of a line of a piece on paper."""
    first = min([1, *(end for each in one.piece.dimensions for end in (each.start, each.end))])
    return on_paper(one.corners[[line.start - first, line.end - first]])


def _along_edge(one: WornPiece, line: PieceDimension, on_paper: Paper, lane: float) -> Stretch | None:
    """A line along a slanting edge that is more level than upright, off that edge; None for all others."""
    start, end = _ends(one, line, on_paper)
    across, up = np.abs(end - start)
    is_edge = abs(line.start - line.end) in (1, len(one.corners) - 1)
    if not is_edge or up <= AT_EDGE_MM or across <= 2 * up:
        return None
    along = end - start
    off = 0.6 * lane * np.array([-along[1], along[0]]) / (np.hypot(*along) or 1.0)
    middle, edge = (start + end) / 2, on_paper(one.edge)
    x, y = (middle + off / 10).tolist()
    off = -off if is_inside((x, y), edge) else off
    return Stretch(line.value, start + off, end + off)


def _on_body(ends: Points, value: str, box: Points, lane: float) -> Stretch | None:
    """A line across below the hem, above the neck or inside; a line up inside, off the edges."""
    across, up = np.abs(ends[1] - ends[0])
    (left, top), (right, bottom) = box.min(axis=0), box.max(axis=0)
    away = abs(lane)
    if up <= AT_EDGE_MM or across > 2 * up:
        y = float(ends[:, 1].mean())
        y = (
            bottom + 0.6 * away
            if y > bottom - AT_EDGE_MM
            else top - 0.6 * lane
            if y < top + AT_EDGE_MM
            else y
        )
        return Stretch(value, np.array([ends[:, 0].min(), y]), np.array([ends[:, 0].max(), y]))
    x = float(ends[ends[:, 1].argmin(), 0])
    x = min(max(x, left + 0.7 * away), right - 0.7 * away)
    return Stretch(value, np.array([x, ends[:, 1].min()]), np.array([x, ends[:, 1].max()]))


def _on_sleeve(one: WornPiece, line: PieceDimension, on_paper: Paper, lane: float) -> Stretch | None:
    """A sleeve's length along its seam, its widths across the folded sleeve; None for lines above it."""
    first = min([1, *(end for each in one.piece.dimensions for end in (each.start, each.end))])
    corners = one.own_corners
    start, end = corners[[line.start - first, line.end - first]]
    widest = corners[:, 0].max()
    under = float(corners[corners[:, 0] >= widest - 1.0][:, 1].max())
    if abs(end[0] - start[0]) >= abs(end[1] - start[1]):
        at = float(start[1]), float(max(start[0], end[0])), under
        return _across_sleeve(one, line.value, at, (on_paper, lane))
    if max(start[1], end[1]) > under + 1.0:
        return None
    low = corners[corners[:, 1] <= corners[:, 1].min() + 1.0]
    ends = on_paper(one.placed(np.array([[widest, under], [low[:, 0].max(), low[0, 1]]])))
    along = ends[1] - ends[0]
    normal = np.array([-along[1], along[0]]) / (np.hypot(*along) or 1.0)
    middle = (corners[:, 0].min() + widest) / 2
    fold = on_paper(one.placed(np.array([[middle, (under + low[0, 1]) / 2]])))[0]
    off = 0.6 * lane * (-normal if normal @ (fold - ends.mean(axis=0)) > 0 else normal)
    return Stretch(line.value, ends[0] + off, ends[1] + off)


def _across_sleeve(
    one: WornPiece, value: str, at: tuple[float, float, float], look: tuple[Paper, float]
) -> Stretch:
    """A width of the folded sleeve: beyond the wrist for the lower part, else a little below its place."""
    (y, right, under), (on_paper, lane) = at, look
    corners = one.own_corners
    middle, lowest = (corners[:, 0].min() + corners[:, 0].max()) / 2, corners[:, 1].min()
    y = lowest if y - lowest < WRIST * (under - lowest) else y
    ends = on_paper(one.placed(np.array([[middle, y], [right, y], [middle, y - 1.0]])))
    down = ends[2] - ends[0]
    off = 0.6 * lane * down / (np.hypot(*down) or 1.0)
    return Stretch(value, ends[0] + off, ends[1] + off)


def _worn_line(facts: Facts, edition: PrintForm, kept: Sequence[int], number: int, one: Stretch) -> WornLine:
    """The key's line."""
    value = next((value for value in facts.pattern.values if value.name == one.value), None)
    label = facts.plain(value.label, edition) if value else one.value.replace("_", " ")
    return WornLine(number, label, _texts(facts, edition, one.value, kept))


def _texts(facts: Facts, edition: PrintForm, value: str, kept: Sequence[int]) -> str:
    """A length in a list over sizes, inches first where the edition puts them there."""
    numbers = [nan if number is None else float(number) for number in facts.row(value)]
    return print_measure(edition, "length", numbers, kept, facts.pattern.wording)


def _stretch_boxes(stretches: Sequence[Stretch], type_mm: float) -> Iterator[Box]:
    """What lines take with their ticks, whichever way they run: a label may stand far from its line."""
    for one in stretches:
        yield _box_of(np.array(_parts(one, type_mm)).reshape(-1, 2))


def _strokes(one: Stretch, type_mm: float) -> str:
    """A line with a tick at each end."""
    return "".join(f"M{a[0]:.2f} {a[1]:.2f}L{b[0]:.2f} {b[1]:.2f}" for a, b in _parts(one, type_mm))


def _parts(one: Stretch, type_mm: float) -> list[tuple[Points, Points]]:
    """The line and its ticks, each from end to end."""
    along = one.end - one.start
    length = float(np.hypot(*along)) or 1.0
    tick = np.array([-along[1], along[0]]) / length * OVERSHOOT * type_mm
    return [(one.start, one.end), (one.start - tick, one.start + tick), (one.end - tick, one.end + tick)]


def _old_marks(stretches: Sequence[Stretch], type_mm: float) -> ToldMarks:
    """The numbers up to the second wording, without lengths. Never to be changed: records are printed so."""
    marks: list[Mark] = []
    for number, one in enumerate(stretches, 1):
        taken = [(mark.x, mark.y) for mark in marks]
        x, y = free_spot(_spots(one, type_mm), taken, 2.1 * DISC * type_mm)
        marks.append(Mark(number, round(x, 2), round(y, 2)))
    room = DISC * type_mm
    boxes = tuple((one.x - room, one.y - room, one.x + room, one.y + room) for one in marks)
    return ToldMarks(tuple(marks), tuple(stretches), "", boxes)


def _spots(one: Stretch, type_mm: float) -> list[Points]:
    """Where the number of a line may stand: on it, first in its middle, or beyond the ends of a short one."""
    along = one.end - one.start
    length = float(np.hypot(*along)) or 1.0
    beyond = along / length * (DISC + 0.2) * type_mm
    farther = beyond * (1 + 2.4 * DISC / (DISC + 0.2))
    outside = [one.end + beyond, one.start - beyond, one.end + farther, one.start - farther]
    if length < 3.2 * DISC * type_mm:
        return outside
    return [*(one.start + along * share for share in SPOTS), *outside]


def _grown(box: Box, by_mm: float) -> Box:
    """A box with so much air on every side."""
    return box[0] - by_mm, box[1] - by_mm, box[2] + by_mm, box[3] + by_mm


def _frame(extent: Points, boxes: Sequence[Box], type_mm: float, title: str) -> Frame:
    """The box of garment, labels and lines."""
    wide, high = extent.tolist()
    air = 0.6 * type_mm
    box = (
        min([-air, *(one[0] for one in boxes)]),
        min([-air, *(one[1] for one in boxes)]),
        max([wide + air, *(one[2] for one in boxes)]),
        max([high + air, *(one[3] for one in boxes)]),
    )
    return frame_of(box, title)
