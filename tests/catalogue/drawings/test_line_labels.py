"""Lengths stand on the drawings of one size: all of them, none on another, none beyond the picture."""

import re
from itertools import combinations
from typing import Any

import numpy as np
import pytest
from PIL import ImageFont

from catalogue.drawings.dimension_lines import NumberSetting
from catalogue.drawings.garment_pictures import garment_picture
from catalogue.drawings.line_labels import is_inside, place_told
from catalogue.drawings.scales import Room
from catalogue.drawings.schematics import LEAST_MM, TYPE_MM, schematics
from catalogue.drawings.whole_pictures import whole_picture
from catalogue.editions.ingredients import font_path
from catalogue.editions.sized_parts import LARGE_OF_ONE, SHARE_OF_ONE
from catalogue.editions.sources import TYPE_MM_LARGE
from grading.beginnings.constructions import constructions
from grading.core.grade.grade import grade
from grading.core.grade.pieces import DrawnDimension, draw_pieces
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.printing.edition import PrintForm, Units
from tests.builders import sample
from tests.catalogue.builders import SAMPLES
from tests.catalogue.drawings.begun import begun
from tests.present import present

# The widths of letters as the font of the drawings has them.
FONT = ImageFont.truetype(str(font_path("SourceSans3-Regular.ttf")), 1000)
# Capitals and figures are so high, in heights of the type; a little more than in the font.
FIGURE = 0.72
POINT_MM = 25.4 / 72


STROKE = re.compile(r"M([\d.-]+) ([\d.-]+)(?:H([\d.-]+)|V([\d.-]+)|L([\d.-]+) ([\d.-]+))")


GUIDE = re.compile(r"M([\d.-]+) ([\d.-]+)L([\d.-]+) ([\d.-]+)")


def pictures_of(facts, graded, place, units, type_mm):
    """Frame, labels, disc and lines of each picture of one size."""
    of = (facts, graded, PrintForm(units=units, sizes=facts.pattern.sizes[place]), [place])
    share = SHARE_OF_ONE if type_mm == TYPE_MM else LARGE_OF_ONE
    look: dict[str, Any] = {"type_mm": type_mm, "room": Room(share)}
    drawn = schematics(*of, type_mm=type_mm, room=Room(share, LEAST_MM))
    pieces = [one.piece for one in drawn]
    whole, garment = whole_picture(*of, **look), garment_picture(*of, **look)
    pieces += [whole.piece] if whole else []
    found: list[Any] = [(one.frame, one.labels, one.disc_mm, lines_of(one.strokes)) for one in pieces]
    if garment:
        found.append((garment.frame, garment.marks, garment.disc_mm, lines_of(garment.strokes)))
    return found


def lines_of(strokes):
    """Both ends of each line, in the order of their numbers: behind each stand its two ticks."""
    ends = []
    for x, y, across, up, *other in STROKE.findall(strokes):
        end = (across or other[0] or x, up or other[1] or y)
        ends.append(np.array([(x, y), end], dtype=float))
    return ends[::3]


def apart_from(line, x, y):
    """How far a point is from a line."""
    start, along = line[0], line[1] - line[0]
    share = np.clip(((x, y) - start) @ along / (along @ along), 0, 1)
    return np.hypot(*(start + share * along - (x, y)))


def lie_together(one, other):
    """Whether two lines run side by side, a millimetre apart at the most, for more than a touch."""
    along = (other[1] - other[0]) / np.hypot(*(other[1] - other[0]))
    across = np.array([along[1], -along[0]])
    low, high = sorted((one - other[0]) @ along)
    is_near = np.abs((one - other[0]) @ across).max() < 1.0
    return is_near and low < np.hypot(*(other[1] - other[0])) - 0.6 and high > 0.6


def boxes_of(labels, disc, type_mm):
    """What each disc and each text takes of the paper."""
    for one in labels:
        yield one.x - disc, one.y - disc, one.x + disc, one.y + disc
        if one.text:
            wide, half = FONT.getlength(one.text) / 1000 * type_mm, FIGURE / 2 * type_mm
            y = getattr(one, "text_y", one.y)
            shift = wide if one.text_first else 0.0
            if getattr(one, "turn", 0):
                yield one.text_x - half, y - wide + shift, one.text_x + half, y + shift
            else:
                yield one.text_x - shift, y - half, one.text_x - shift + wide, y + half


def overlap(one, other):
    return one[0] < other[2] and other[0] < one[2] and one[1] < other[3] and other[1] < one[3]


@pytest.mark.parametrize("name", [*SAMPLES, *constructions()])
def test_every_length_of_one_size_touches_its_line_and_none_hides_another(name):
    pattern = read_pattern(sample(name) if name in SAMPLES else begun(name))
    graded = grade(pattern)
    facts = facts_of(pattern, graded)
    last = len(pattern.sizes) - 1
    ways = [(0, "cm", TYPE_MM), (last, "in", TYPE_MM), (last, "both", TYPE_MM), (last, "both", TYPE_MM_LARGE)]
    for place, units, type_mm in ways:
        for frame, labels, disc, lines in pictures_of(facts, graded, place, units, type_mm):
            where = (frame.title, units, type_mm)
            assert len(labels) == len(lines), where
            # On the garment as worn a length stands only where nothing crosses it.
            if not frame.title.startswith("The garment laid flat"):
                assert all(one.text for one in labels), where
            boxes = list(boxes_of(labels, disc, type_mm))
            assert not any(overlap(*pair) for pair in combinations(boxes, 2)), where
            left, top, wide, high = (float(part) for part in frame.view_box.split())
            assert min(box[0] - left for box in boxes) >= 0, where
            assert min(box[1] - top for box in boxes) >= 0, where
            assert max(box[2] for box in boxes) <= left + wide, where
            assert max(box[3] for box in boxes) <= top + high, where
            off = [apart_from(line, one.x, one.y) for line, one in zip(lines, labels, strict=True)]
            assert max(off) <= disc + 0.3, where
            assert not any(lie_together(*pair) for pair in combinations(lines, 2)), where


def crosses(box, start, end):
    """Whether a line passes through a box."""
    points = start + (end - start) * np.linspace(0, 1, 200)[:, None]
    return bool(((points > box[:2]) & (points < box[2:])).all(axis=1).any())


def sides_of(path):
    """The straight parts of closed paths."""
    for one in path.split("M")[1:]:
        spots = np.array(re.findall(r"([\d.-]+) ([\d.-]+)", one), dtype=float)
        yield from zip(spots, np.roll(spots, -1, axis=0), strict=True)


@pytest.mark.parametrize("name", [*SAMPLES, "drop-shoulder", "raglan", "set-in", "cuff-to-cuff", "waistcoat"])
def test_nothing_that_is_drawn_crosses_a_length_of_the_garment(name):
    pattern = read_pattern(sample(name) if name in SAMPLES else begun(name))
    graded = grade(pattern)
    facts = facts_of(pattern, graded)
    last = len(pattern.sizes) - 1
    ways: list[tuple[int, Units]] = [(0, "cm"), (last // 2 + 1, "cm"), (last, "cm"), (last, "both")]
    for place, units in ways:
        form = PrintForm(units=units, sizes=pattern.sizes[place])
        picture = present(
            garment_picture(facts, graded, form, [place], type_mm=TYPE_MM, room=Room(SHARE_OF_ONE))
        )
        where = (pattern.sizes[place], units)
        paths = [one.edge for one in picture.layers] + [one.edge for one in picture.bands]
        drawn = [side for path in paths for side in sides_of(path)]
        drawn += [np.array(ends, dtype=float).reshape(2, 2) for ends in GUIDE.findall(picture.guides)]
        lines = lines_of(picture.strokes)
        told = [one for one in picture.marks if one.text]
        assert 2 * len(told) >= len(lines), where
        for mark in told:
            _, box = boxes_of([mark], picture.disc_mm, TYPE_MM)
            others = [line for at, line in enumerate(lines, 1) if at != mark.number]
            assert not any(crosses(box, *ends) for ends in [*drawn, *others]), (*where, mark.number)


def test_the_line_of_a_slanting_seam_runs_along_it():
    # From cuff to cuff the sleeve is part of the back: its seam falls from the underarm to the wrist.
    pattern = read_pattern(begun("cuff-to-cuff"))
    graded = grade(pattern)
    picture = present(garment_picture(facts_of(pattern, graded), graded, PrintForm(), [4], type_mm=TYPE_MM))
    (number,) = [one.number for one in picture.key if one.label == "Sleeve seam"]
    start, end = sorted(lines_of(picture.strokes)[number - 1].tolist())
    back = sides_of(picture.layers[0].edge)
    along = np.array(end) - start
    sloping = [b - a for a, b in back if abs(b - a).min() > 1]
    turned = [abs(side[0] * along[1] - side[1] * along[0]) for side in sloping]
    assert min(turned) / (along @ along) < 0.01
    assert abs(along[1]) > 1


def test_lengths_on_drawings_are_large_enough_to_read():
    assert TYPE_MM / POINT_MM >= 7


def test_of_all_sizes_only_a_length_that_they_share_stands_on_the_drawing():
    pattern = read_pattern(sample("brackenmere_pullover"))
    graded = grade(pattern)
    back = schematics(facts_of(pattern, graded), graded, PrintForm(), range(9))[0]
    told = {line.label: label.text for line, label in zip(back.key, back.piece.labels, strict=True)}
    lists = {line.label: line.texts for line in back.key}
    assert {label for label, text in told.items() if text} == {
        label for label, texts in lists.items() if "(" not in texts
    }


def test_a_length_stands_on_a_long_line_and_beyond_a_short_one():
    corners = np.array([[[0.0, 0], [500, 0], [500, 20], [0, 20]]])
    named = [DrawnDimension("width", 1, 2), DrawnDimension("height", 2, 3)]
    piece = present(draw_pieces(corners, dimensions=named)[0])
    settings = [NumberSetting("across", 1), NumberSetting("up", 1)]
    (width, height), _ = place_told(piece, settings, ["50", "2"], scale=10, type_mm=3)
    box = present(width.label).box
    assert 0 < box[0] < box[2] < 50
    assert (box[0] + box[2]) / 2 == pytest.approx(25)
    beyond = present(height.label).box
    assert beyond[1] >= 2 or beyond[3] <= 0


def test_what_lies_within_an_edge():
    edge = np.array([[0.0, 0], [10, 0], [10, 10], [5, 4], [0, 10]])
    assert is_inside((2, 5), edge)
    assert not is_inside((5, 8), edge)
    assert not is_inside((12, 5), edge)


def test_a_single_figure_is_never_read_upwards():
    # The neck of the front is 8 cm deep: lying down, the 8 would be an infinity.
    pattern = read_pattern(begun("cuff-to-cuff"))
    graded = grade(pattern)
    front = schematics(facts_of(pattern, graded), graded, PrintForm(), [3])[1]
    (alone,) = [one for one in front.piece.labels if one.text == "8"]
    assert alone.turn == 0
    assert alone.text_y == alone.y
    every = schematics(facts_of(pattern, graded), graded, PrintForm(), range(len(pattern.sizes)))[1]
    assert not [one for one in every.piece.labels if one.text]


def test_a_line_between_two_corners_on_one_spot_is_drawn_there():
    document = sample("brackenmere_pullover")
    back = document["pieces"][0]
    back["outline"].append(back["outline"][-1])
    last = len(back["outline"])
    back["dimensions"].append({**back["dimensions"][0], "from": last - 1, "to": last})
    pattern = read_pattern(document)
    graded = grade(pattern)
    drawn = schematics(facts_of(pattern, graded), graded, PrintForm(), [3])[0]
    assert len(drawn.key) == len(back["dimensions"])
