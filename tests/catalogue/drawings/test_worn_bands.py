"""Bands of the garment as worn: as deep as the pattern says, and none where it says nothing."""

from dataclasses import replace

import numpy as np
import pytest

from catalogue.drawings.garment_pictures import ALL, OTHER_YARN, garment_picture
from catalogue.drawings.told_bands import ARMHOLE, CUFF, FRONT, HEM, NECK, ToldBands, kinds_in
from catalogue.drawings.worn_bands import worn_bands
from catalogue.drawings.worn_pieces import worn_in_sample
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.edition import PrintForm
from tests.builders import sample
from tests.catalogue.drawings.begun import begun
from tests.present import present

GARMENT_MM = 600.0
SHADES = {"puffinbay_child": {OTHER_YARN}, "thistledrift_waistcoat": {ALL}, "brackenmere_pullover": {ALL}}


def read(document):
    pattern = read_pattern(document)
    graded = grade(pattern)
    return facts_of(pattern, graded), graded


def depths(document, place=0):
    facts, _ = read(document)
    told = ToldBands(facts, place, GARMENT_MM)
    found = {kind: told.of(kind, is_joined=True) for kind in (HEM, CUFF, NECK, FRONT, ARMHOLE)}
    return {kind: round(band.depth_mm, 1) for kind, band in found.items() if band}


def picture(document, kept):
    facts, graded = read(document)
    return present(garment_picture(facts, graded, PrintForm(), kept, type_mm=3.0))


@pytest.mark.parametrize(
    ("label", "kinds"),
    [
        ("Neckband round the neck", {NECK}),
        ("Band along fronts and hood", {FRONT, "hood"}),
        ("Hem rib below back or front", {HEM}),
        ("Border below a front", {HEM}),
        ("Cuff rib below the sleeve", {CUFF}),
        ("Edging round the armhole", {ARMHOLE}),
        ("Sleeve on the armhole", set()),
        ("Hood round the neck", set()),
    ],
)
def test_which_edges_a_band_is_named_after(label, kinds):
    assert kinds_in(label) == kinds


# Worked from the typed depths and the rows of the band's own fabric: 6 cm as typed; of 32 rounds in 10 cm
# 2.5 cm are 8, and 6 cm 20, rounded up; of 19 rows 2.5 cm are 5, and 3 cm 6; of 18 rows 5 cm are 9.
@pytest.mark.parametrize(
    ("name", "told"),
    [
        ("brackenmere_pullover", {HEM: 60.0}),
        ("cinderfell_raglan", {HEM: 62.5, CUFF: 62.5, NECK: 25.0}),
        ("puffinbay_child", {HEM: 26.3, CUFF: 26.3, FRONT: 31.6}),
        ("thistledrift_waistcoat", {HEM: 50.0}),
    ],
)
def test_a_band_is_as_deep_as_its_rows(name, told):
    found = depths(sample(name))
    assert {kind: found.get(kind) for kind in told} == told


def test_what_the_yarn_is_counted_for_comes_before_a_band_of_no_edge():
    # Three rows of the edging round the armhole, though "Band width" is that of another band.
    document = sample("thistledrift_waistcoat")
    rows = document["fabrics"]["band"]["rows"]
    assert depths(document)[ARMHOLE] == pytest.approx(3 / rows * 100, abs=0.1)
    assert depths(document)[FRONT] > depths(document)[ARMHOLE]


def test_a_strip_worked_sideways_is_not_as_deep_as_its_rows():
    assert CUFF not in depths(sample("brackenmere_pullover"))
    sleeve = worn_of("brackenmere_pullover")[0]
    assert np.ptp(sleeve.edge[:, 0]) == pytest.approx(60.0)


def worn_of(name, place=0):
    facts, graded = read(sample(name))
    return worn_bands(facts, worn_in_sample(graded, place), place, 10.0).strips


@pytest.mark.parametrize("key", ["drop-shoulder", "raglan", "set-in", "waistcoat", "cuff-to-cuff"])
def test_begun_garments_show_their_bands_on_both_sides_alike(key):
    facts, graded = read(begun(key))
    worn = worn_in_sample(graded, 2)
    bands = worn_bands(facts, worn, 2, 10.0)
    assert bands.missing == ("Not drawn: cuffs." if key == "cuff-to-cuff" else "")
    edges = np.concatenate([one.edge for one in bands.strips])
    assert edges[:, 0].min() == pytest.approx(-edges[:, 0].max(), abs=0.5)
    body = np.concatenate([one.edge for one in worn])
    assert edges[:, 0].max() <= body[:, 0].max() + 1.0
    assert len(bands.buttons) == (facts.row("buttons")[2] if key == "waistcoat" else 0)


def test_a_neckband_that_is_left_out_of_the_neck_leaves_the_hem_its_band():
    document = begun("drop-shoulder")
    drop = ["8 cm"] * len(document["sizes"])
    document["values"].append({"name": "neckband_drop", "label": "Drop", "kind": "length", "list": drop})
    front = next(one for one in document["pieces"] if one["name"] == "front")
    neck = next(corner for corner in front["outline"] if "neck_rows" in corner[1])
    neck[1] = "body_length - neckband_drop"
    facts, graded = read(document)
    worn = worn_in_sample(graded, 2)
    lowest = min(one.edge[:, 1].min() for one in worn)
    bands = worn_bands(facts, worn, 2, 10.0).strips
    assert min(one.edge[:, 1].min() for one in bands) == pytest.approx(lowest)


def test_a_corner_that_is_more_than_a_band_does_not_tell_how_deep_it_is():
    facts, _ = read(begun("drop-shoulder"))
    told = ToldBands(facts, 2, GARMENT_MM)
    alone = present(told.at_corner("rib_rows / main.rows", 58.0))
    assert (alone.depth_mm, told.at_corner("rib_rows / main.rows + 5 cm", 108.0)) == (58.0, None)


def test_a_picture_of_one_size_has_the_bands_and_buttons_of_that_size():
    document = sample("puffinbay_child")
    facts, _ = read(document)
    for place, size in enumerate(facts.pattern.sizes):
        shown = picture(document, [place])
        assert (shown.size, len(shown.buttons)) == (size, facts.row("buttons")[place] or 0)
    assert picture(document, [0]).buttons == ()
    hems = [np.ptp(worn_of("puffinbay_child", place)[2].edge[:, 0]) for place in (0, 5)]
    assert hems[1] > hems[0] + 10


def test_bands_in_another_yarn_have_a_shade_of_their_own():
    fills = {name: {one.fill for one in picture(sample(name), [0]).bands} for name in SHADES}
    assert fills == SHADES


def test_rows_of_a_stitch_pattern_lie_above_the_hem():
    heights = [one.edge[:, 1] for one in worn_of("cinderfell_raglan") if np.ptp(one.edge[:, 0]) > 300]
    (hem, seeds), low = heights[:2], min(one.min() for one in heights)
    assert hem.min() == pytest.approx(low)
    assert seeds.min() == pytest.approx(hem.max())
    assert np.ptp(seeds) == pytest.approx(12 / 30 * 100)


def test_what_cannot_be_drawn_is_said_below_the_picture():
    assert picture(sample("brackenmere_pullover"), [0]).missing == "Not drawn: neckband."
    assert picture(sample("puffinbay_child"), [0]).missing == "Not drawn: band of the hood."
    document = sample("brackenmere_pullover") | {"joins": [], "yarn_sections": []}
    for value in document["values"]:
        value["label"] = f"Line {value['name']}"
    assert picture(document, [0]).missing == "Not drawn: neckband."
    (neckband,) = (one for one in document["sections"] if one["title"] == "Neckband")
    neckband["title"] = "Bands"
    assert picture(document, [0]).missing == "Bands are not drawn."
    other = next(option for option in document["options"] if option["choices"][1:])
    not_made = next(choice for choice in other["choices"] if choice != other["default"])
    neckband["when"] = {other["name"]: [not_made]}
    assert picture(document, [0]).missing == ""
    neckband |= {"title": "Making up", "when": {}}
    assert picture(document, [0]).missing == ""


def test_sides_and_pieces_without_a_length_have_no_band():
    document = sample("brackenmere_pullover")
    for piece in document["pieces"][:2]:
        piece["outline"] = [[x, "0 cm"] for x, _ in piece["outline"]]
        piece["sides"] = [{**side, "to": side["from"]} for side in piece["sides"]]
    facts, graded = read(document)
    worn = worn_in_sample(graded, 0)
    assert all(np.isfinite(one.edge).all() for one in worn_bands(facts, worn, 0, 10.0).strips)


def test_older_wordings_have_no_bands():
    facts, graded = read(sample("cinderfell_raglan"))
    old = replace(facts, pattern=replace(facts.pattern, wording=WIDE_WORDING))
    shown = present(garment_picture(old, graded, PrintForm(), [0], type_mm=3.0))
    assert (shown.bands, shown.buttons, shown.missing) == ((), (), "")
