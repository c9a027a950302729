"""Hats, mittens, shawls and blankets laid flat: whole, with their parts, each measurement once."""

import io
import re
from dataclasses import replace
from itertools import combinations
from types import SimpleNamespace
from typing import Any

import numpy as np
import pypdf
import pytest

from catalogue.drafts.patterns import load_pattern
from catalogue.drawings.laid_wholes import laid_pieces, whole_role
from catalogue.drawings.scales import Room, scale_number
from catalogue.drawings.schematics import TYPE_MM
from catalogue.drawings.whole_pictures import whole_picture
from catalogue.editions import fitting
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import render_pdf
from catalogue.editions.sized_parts import drawn_parts
from catalogue.editions.sources import TYPE_MM_LARGE, Source
from catalogue.site.demo_begun import begun_sample
from grading.core.grade.grade import grade
from grading.core.grade.pieces import draw_graded
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PieceEntry
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.edition import PrintForm
from tests.builders import make_studio, sample
from tests.catalogue.builders import make_record
from tests.catalogue.drawings.begun import begun
from tests.present import present

WHOLES = ("hat", "mittens", "shawl", "blanket")


def read(document):
    pattern = read_pattern(document)
    graded = grade(pattern)
    return facts_of(pattern, graded), graded


def picture(document, place=None, type_mm=3.0):
    facts, graded = read(document)
    kept = range(len(facts.pattern.sizes)) if place is None else [place]
    return whole_picture(facts, graded, PrintForm(), kept, type_mm=type_mm)


def laid(document, place=0):
    facts, graded = read(document)
    drawn = [
        (piece, present(draw_graded(piece, graded.pieces[piece.name], facts.pattern.curves)[place]))
        for piece in facts.pattern.pieces
        if piece.name != "long_cuff"
    ]
    return {one.role: one for one in laid_pieces(drawn)}


@pytest.mark.parametrize(
    ("name", "label", "role"),
    [
        ("hat", "Hat, laid flat", "hat"),
        ("p1", "Beanie", "hat"),
        ("hand", "Mitten above the cuff, laid flat", "mitten"),
        ("long_cuff", "Long cuff", "cuff"),
        ("thumbs", "Thumbs (make 2)", "thumb"),
        ("sleeve", "Sleeve above the cuff", None),
        ("hood", "Hood", None),
        ("pocket", "Pocket", None),
        ("p2", "Hat brim", "brim"),
        ("p2", "Cuff of the mitten", "cuff"),
        ("shawl_pin", "Shawl pin", None),
        ("p3", "Throw", "blanket"),
        ("p3", "Throw over the sofa, worked flat", "blanket"),
        ("p4", "Throw the yarn round", None),
    ],
)
def test_what_a_piece_is_of_a_whole(name, label, role):
    assert whole_role(PieceEntry(name, label, (("0", "0"),) * 4)) == role


def test_in_the_second_wording_the_first_word_said_what_a_piece_is():
    piece = PieceEntry("hat_brim", "Brim", (("0", "0"),) * 4)
    assert (whole_role(piece), whole_role(piece, WIDE_WORDING)) == ("brim", "hat")


@pytest.mark.parametrize(
    ("key", "labels"),
    [
        ("hat", ["Round the hat", "Depth", "Top", "Brim"]),
        (
            "mittens",
            ["Round the hand", "Length above the cuff", "Cuff to thumb", "Thumb", "Round the thumb", "Cuff"],
        ),
        ("shawl", ["Long edge", "Depth at the middle"]),
        ("blanket", ["Width", "Length"]),
    ],
)
def test_the_picture_tells_each_measurement_once(key, labels):
    shown = present(picture(begun(key)))
    assert [line.label for line in shown.key] == labels
    assert shown.is_folded == (key in ("hat", "mittens"))
    assert len(shown.piece.labels) == len(shown.key)


@pytest.mark.parametrize(
    ("key", "has_lines", "missing"),
    [
        ("hat", True, ""),
        ("mittens", True, ""),
        ("shawl", False, "Not drawn: border."),
        ("blanket", False, "Not drawn: edging."),
    ],
)
def test_brims_and_cuffs_have_their_ribs_and_other_bands_are_told(key, has_lines, missing):
    document = begun(key)
    shown = present(picture(document))
    assert (bool(shown.piece.lines), shown.missing) == (has_lines, missing)
    if key == "hat":  # ribs stand upright; rows of a brim that is not ribbed lie across
        steps = [step.replace("rib", "crab stitch") for step in document["sections"][0]["steps"]]
        document["sections"][0]["steps"] = steps
        (x1, y1), (x2, y2) = ends(shown.piece.lines)
        (a1, b1), (a2, b2) = ends(present(picture(document)).piece.lines)
        assert (x1 == x2, y1 == y2, a1 == a2, b1 == b2) == (True, False, False, True)


def ends(path):
    return [tuple(map(float, pair.split())) for pair in path.split("M")[1].replace("L", ",").split(",")]


def hat_with(words, **changes):
    """The hat whose side is worked as these words say, or after another step."""
    document = begun_sample("plovermire_hat")
    for section in document["sections"]:
        if section["title"] == "Side":
            section["steps"] = [*changes.get("before", ()), words]
    return present(picture(document))


BAND = "Work {band_rounds} rounds in {saltings}."


def cells_of(shown):
    """Left, top, width and height of each run of stitches in the other colour."""
    return [tuple(map(float, re.findall(r"-?[\d.]+", run)[:4])) for run in shown.piece.cells.split("z")[:-1]]


def test_a_band_of_colours_lies_as_many_rounds_above_the_brim_as_its_step_says():
    """derived: 28 rounds in 10 cm at 1 : 5 are 0.714 mm of paper each."""
    high = 100 / 28 / 5
    at_once, after_one = (cells_of(hat_with(words)) for words in (BAND, f"Knit 1 round in A. {BAND}"))
    lowest = [max(y + height for _, y, _, height in cells) for cells in (at_once, after_one)]
    assert lowest[0] - lowest[1] == pytest.approx(high, abs=0.02)
    assert lowest[1] - min(y for _, y, _, _ in after_one) == pytest.approx(11 * high, abs=0.05)
    assert max(y + height for _, y, _, height in cells_of(hat_with(BAND, before=["Knit 2 rounds."]))) == (
        pytest.approx(lowest[0] - 2 * high, abs=0.02)
    )


def test_a_band_of_colours_has_the_stitches_of_its_grid():
    """derived: 39 of 78 stitches lie in front; the grid has B once, twice or three times in a round of 6."""
    shown = hat_with(f"Knit 1 round in A. {BAND}")
    assert shown.missing == ""
    rounds = {y: [cell for cell in cells_of(shown) if cell[1] == y] for _, y, _, _ in cells_of(shown)}
    assert len(rounds) == 9  # of 11 rounds two have none
    lowest = rounds[max(rounds)]
    assert lowest[0][2] == pytest.approx(100 / 20 / 5, abs=0.01)
    assert lowest[1][0] - lowest[0][0] == pytest.approx(2 * 100 / 20 / 5, abs=0.02)
    left, right = (
        edge(float(x) for x in re.findall(r"[ML](-?[\d.]+) ", shown.piece.edge)) for edge in (min, max)
    )
    assert left - 0.01 <= min(x for x, *_ in cells_of(shown))
    assert max(x + wide for x, _, wide, _ in cells_of(shown)) <= right + 0.01


@pytest.mark.parametrize(
    "words",
    [
        "Work {saltings} until the side is as long as you like.",  # no rounds
        "Work {band_rounds} rounds. Work in {saltings}.",  # not of it
        '::: only sizes="6 months"\nKnit 2 rounds.\n:::\nWork {band_rounds} rounds in {saltings}.',
    ],
)
def test_a_band_of_colours_that_no_step_places_is_named_below_the_hat(words):
    shown = hat_with(words)
    assert (shown.missing, shown.piece.cells) == ("Not drawn: Saltings.", "")


def test_a_band_of_colours_is_placed_by_the_brim_that_is_worked_before_it():
    document = begun_sample("plovermire_hat")
    document["sections"].sort(key=lambda one: one["title"] == "Brim")
    assert present(picture(document)).missing == "Not drawn: Saltings."


def test_what_is_set_close_is_less_high_and_as_wide_as_ever_at_a_round_scale():
    """derived: the long edge of size L is 161.5 cm, and 58 mm of paper hold it at 1 : 30, not at 1 : 25."""
    pattern = read_pattern(begun_sample("ternstrand_shawl"))
    graded = grade(pattern)
    of = (facts_of(pattern, graded), graded, PrintForm(sizes="L"), [1])
    scales = {
        share: present(whole_picture(*of, type_mm=3, room=Room(share))).scale for share in (0.5, 0.7, 1.0)
    }
    assert set(scales.values()) == {"1 : 30"}
    hat = read_pattern(begun("hat"))
    graded = grade(hat)
    of = (facts_of(hat, graded), graded, PrintForm(sizes=hat.sizes[4]), [4])
    assert [present(whole_picture(*of, type_mm=3, room=Room(share))).scale for share in (0.5, 1.0)] == [
        "1 : 8",
        "1 : 5",
    ]


def test_measurements_are_said_for_those_who_do_not_see_them():
    shown = present(picture(begun_sample("ternstrand_shawl")))
    told = {line.label: line.texts for line in shown.key}
    words = "; ".join(f"{line.number} {line.label}" for line in shown.key[:1])
    assert shown.piece.frame.title.startswith(f"Laid flat, size L, drawn to scale. {words}")
    assert told["Long edge"].endswith(" cm")


def test_a_brim_lies_on_the_hat_and_a_cuff_below_the_hand():
    hat = laid(begun("hat"))
    assert hat["brim"].edge.min(axis=0) == pytest.approx(hat["hat"].edge.min(axis=0))
    mitten = laid(begun("mittens"))
    assert mitten["cuff"].edge[:, 1].max() == pytest.approx(mitten["mitten"].edge[:, 1].min())
    assert np.abs(mitten["cuff"].edge[:, 0]).max() == pytest.approx(mitten["mitten"].edge[:, 0].max())


def test_a_thumb_parts_from_the_hand_where_the_side_says_and_keeps_its_length():
    mitten = laid(begun("mittens"))
    hand, thumb = mitten["mitten"], mitten["thumb"]
    fork = hand.placed(hand.drawing.corners)[2]
    corners = thumb.placed(thumb.drawing.corners)
    assert corners[6] == pytest.approx(fork)
    assert (corners[1:5, 0] > fork[0]).all()
    own = thumb.drawing.corners
    assert np.hypot(*(corners[2] - corners[1])) == pytest.approx(np.hypot(*(own[2] - own[1])))


def test_a_thumb_without_a_place_at_the_hand_is_left_out():
    document = begun("mittens")
    hand = next(one for one in document["pieces"] if one["name"] == "hand")
    del hand["sides"]
    assert set(laid(document)) == {"mitten", "cuff"}
    assert "thumb" not in present(picture(document)).pieces


def test_a_neck_edge_lies_up():
    document = begun("shawl")
    document["pieces"][0] = {
        "name": "shawl",
        "label": "Shawl",
        "outline": [["0", "0"], ["span", "0"], ["span / 2", "spine"]],
        "dimensions": [{"value": "span", "from": 1, "to": 2}],
        "sides": [{"name": "neck_edge", "from": 1, "to": 2}],
    }
    edge = laid(document)["shawl"].edge
    assert (np.abs(edge[:, 1] - edge[:, 1].max()) < 0.1).sum() == 2


def test_a_part_of_another_choice_is_told_in_words():
    shown = present(picture(begun("mittens")))
    assert shown.choices == "with short cuff"
    assert shown.others[1:] == ("Long cuff: 10 (10.5, 11.5, 11.5, 12.5, 13) cm",)
    assert {"cuff", "long_cuff"} <= shown.pieces


def test_a_part_of_another_choice_is_told_though_its_value_is_called_the_same():
    document = begun("mittens")
    for value in document["values"]:
        if value["name"] == "long_cuff_depth":
            value["label"] = "Cuff"
    shown = present(picture(document))
    assert "Cuff (with long cuff): 10 (10.5, 11.5, 11.5, 12.5, 13) cm" in shown.others
    assert not any("Round the hand" in text or ", width" in text for text in shown.others)


def test_in_the_second_wording_a_part_of_another_choice_has_its_condition_in_brackets_of_its_own():
    document = begun("mittens")
    for value in document["values"]:
        if value["name"] == "long_cuff_depth":
            value["label"] = "Depth (folded)"
    facts, graded = read(document)
    old = replace(facts, pattern=replace(facts.pattern, wording=WIDE_WORDING))
    shown = present(whole_picture(old, graded, PrintForm(), range(len(old.pattern.sizes)), type_mm=3.0))
    assert any(text.startswith("Depth (folded) (Cuff: long): ") for text in shown.others), shown.others


def piece_of(document, name):
    return next(one for one in document["pieces"] if one["name"] == name)


def test_what_no_value_names_of_a_part_is_told_under_its_name():
    document = begun("hat")
    piece_of(document, "brim")["outline"][1:3] = [["hat_girth / 4", "0"], ["hat_girth / 4", "brim_depth"]]
    told = {line.label: line.texts for line in present(picture(document, 0)).key}
    assert (told["Round the hat"], told["Brim, width"]) == ("40 cm", "10 cm")
    gusset = "Thumb with gusset, length: 9.5 (10, 11, 11.5, 12, 12.5) cm"
    assert present(picture(begun("mittens"))).others[0] == gusset


def test_the_pieces_are_there_in_all_sizes_and_not_in_one():
    captions = [nest.caption for nest in present(picture(begun("hat"))).nests]
    assert captions == ["Hat: 5 of 9 sizes, 1 : 5"]
    assert [nest.caption for nest in present(picture(begun("mittens"))).nests] == [
        "Mitten above the cuff: 5 of 6 sizes, 1 : 5"
    ]
    assert present(picture(begun("hat"), 0)).nests == ()


@pytest.mark.parametrize("type_mm", [3, 5.4])
@pytest.mark.parametrize("key", WHOLES)
def test_no_number_hides_another(key, type_mm):
    document = begun(key)
    for place in range(len(document["sizes"])):
        shown = present(picture(document, place, type_mm))
        apart = [np.hypot(a.x - b.x, a.y - b.y) for a, b in combinations(shown.piece.labels, 2)]
        assert min(apart) >= 2 * shown.piece.disc_mm, document["sizes"][place]


def test_garments_strips_and_the_first_wording_have_no_such_picture():
    assert picture(sample("brackenmere_pullover")) is None
    document = begun("blanket")
    document["pieces"][0]["outline"] = [["0", "0"], ["1 cm", "0"], ["1 cm", "9 cm"], ["0", "9 cm"]]
    assert picture(document) is None
    facts, graded = read(begun("hat"))
    old = replace(facts, pattern=replace(facts.pattern, wording=FIRST_WORDING))
    assert whole_picture(old, graded, PrintForm(), [0], type_mm=3.0) is None


def parts_of(document, share=1.0, **changes):
    facts, graded = read(document)
    facts = replace(facts, pattern=replace(facts.pattern, **changes))
    kept = range(len(facts.pattern.sizes))
    of: dict[str, Any] = {"edition": PrintForm(), "kept": kept, "type_mm": 3.0, "is_for_one": False}
    source: Any = SimpleNamespace(facts=facts, graded=graded, groups=[], **of)
    return drawn_parts(source, share)


@pytest.mark.parametrize("key", WHOLES)
def test_what_the_picture_shows_is_not_drawn_a_second_time(key):
    parts = parts_of(begun(key))
    assert parts["whole"] is not None
    assert [parts[name] for name in ("schematics", "strips", "garment", "order")] == [[], [], None, []]


def test_a_brim_that_is_a_strip_is_told_once():
    document = begun("hat")
    piece_of(document, "brim")["outline"][2:] = [["hat_girth / 2", "2 cm"], ["0", "2 cm"]]
    parts = parts_of(document)
    assert "brim" in parts["whole"].pieces
    assert parts["strips"] == []


def test_other_pieces_are_as_large_as_they_can_be_without_those_of_the_whole():
    document = begun("blanket")
    label = {
        "name": "label",
        "label": "Corner label",
        "outline": [["0", "0"], ["6 cm", "0"], ["6 cm", "5 cm"], ["0", "5 cm"]],
        "dimensions": [],
    }
    parts = parts_of({**document, "pieces": [*document["pieces"], label]})
    assert [(one.label, one.scale) for one in parts["schematics"]] == [("Corner label", "1 : 1")]


def test_a_garment_keeps_its_schematics():
    parts = parts_of(sample("brackenmere_pullover"))
    assert parts["whole"] is None
    assert len(parts["schematics"]) > 1


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
@pytest.mark.django_db
def test_a_whole_with_a_join_prints_with_contents_that_lead_to_it(monkeypatch):
    monkeypatch.setattr(fitting, "LARGE_PAGES_WITH_CONTENTS", 6)
    document = begun("mittens")
    join = {"name": "thumb_join", "label": "Thumb on the hand", "edges": [{"edge": "thumb.hand"}]}
    document["joins"] = [{**join, "onto": [{"edge": "hand.thumb"}]}]
    make_studio(address="3 Weir Lane, Larkmoss")
    record = make_record(load_pattern(document=document, by=None), kind="release", number="1.0")
    choices = {**home_choices(record), "print": "large"}
    pdf = pypdf.PdfReader(io.BytesIO(render_pdf(record=record, choices=choices).content))
    pages = [" ".join(page.extract_text().split()) for page in pdf.pages]
    assert "The finished piece" in pages[0]
    text = " ".join(pages[1:])
    assert "Laid flat, size 9" in text
    assert "A. Thumb on the hand: the hand of the thumb with gusset (laid flat) to the thumb of the" in text
    assert not any("The garment" in page for page in pages)
    assert "whole" in pdf.named_destinations


@pytest.mark.parametrize("share", [fitting.SMALLER, fitting.SNUG])
def test_where_pages_are_set_closer_pieces_that_are_joined_are_smaller_but_not_in_older_wordings(share):
    def height(share, **wording):
        return parts_of(sample("brackenmere_pullover"), share, **wording)["joining"].frame.height_mm

    assert 0.75 <= height(share) / height(fitting.USUAL) <= 0.9  # letters are as large
    old = {"wording": WIDE_WORDING}
    assert height(share, **old) == height(fitting.USUAL, **old)


@pytest.mark.parametrize("share", [fitting.USUAL, fitting.SNUG])
def test_large_print_is_drawn_no_smaller_than_usual_print(share):
    def scales(type_mm):
        facts, graded = read(begun("waistcoat"))
        of: dict[str, Any] = {"edition": PrintForm(), "graded": graded, "record": {}}
        parts = drawn_parts(Source(facts=facts, type_mm=type_mm, **of), share if type_mm > TYPE_MM else 1.0)
        return [scale_number(one.scale) for one in (parts["schematics"][0], parts["garment"])]

    assert all(large <= usual for large, usual in zip(scales(TYPE_MM_LARGE), scales(TYPE_MM), strict=True))
