"""The order of work in small pictures, of garments that no sample shows: in one piece, or with a skirt."""

from dataclasses import replace

import pytest

from catalogue.drawings.work_orders import NOW, order_of_work
from catalogue.drawings.worn_pieces import worn_in_sample
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.builders import sample


def read(name, **changes):
    pattern = read_pattern({**sample(name), **changes})
    graded = grade(pattern)
    return facts_of(pattern, graded), graded


def titled(facts, *titles):
    sections = tuple(replace(facts.pattern.sections[0], title=title, when={}) for title in titles)
    return replace(facts, pattern=replace(facts.pattern, sections=sections))


def skirt(**more):
    """A skirt of 60 by 40 cm, to be gathered."""
    outline = [["0 cm", "0 cm"], ["60 cm", "0 cm"], ["60 cm", "40 cm"], ["0 cm", "40 cm"]]
    return {"name": "skirt", "label": "Skirt, half", "outline": outline, **more}


def test_back_and_fronts_that_no_title_names_are_made_with_the_body_and_bands_make_no_front():
    """A cardigan in one piece, drawn as back and front: its bands are picked up along what is there."""
    facts, graded = read("puffinbay_child")
    in_one = titled(facts, "Neckband", "Yoke", "Body", "Sleeves (make 2)", "Front bands", "Hood")
    steps = order_of_work(in_one, graded, range(6))
    assert [step.title for step in steps] == ["Yoke, body", "Sleeves (make 2)", "Hood"]
    assert [layer.fill for layer in steps[0].layers].count(NOW) == 3
    frozen = replace(in_one, pattern=replace(in_one.pattern, wording=2))
    assert [step.title for step in order_of_work(frozen, graded, range(6))] == [
        "Sleeves (make 2)",
        "Front bands",
        "Hood",
    ]


def test_a_skirt_hangs_below_the_body_gathered_into_its_lower_edge():
    pieces = [one for one in sample("brackenmere_pullover")["pieces"] if one["name"] in ("back", "front")]
    facts, graded = read("brackenmere_pullover", pieces=[skirt(), *pieces], joins=[])
    worn = {one.role: one for one in worn_in_sample(graded, 3)}
    body, hung = worn["back"].edge, worn["skirt"].edge
    lower = body[body[:, 1] <= body[:, 1].min() + 1, 0]
    top, hem = (hung[abs(hung[:, 1] - end) < 1, 0] for end in (hung[:, 1].max(), hung[:, 1].min()))
    assert hung[:, 1].max() == pytest.approx(body[:, 1].min())
    assert hung[:, 1].max() - hung[:, 1].min() == pytest.approx(400)
    assert (hem.max() - hem.min(), top.max() - top.min()) == pytest.approx(
        (600, min(600, lower.max() - lower.min()))
    )
    steps = order_of_work(titled(facts, "Skirt", "Front", "Back"), graded, range(9))
    assert [step.title for step in steps] == ["Skirt", "Front", "Back"]


def test_frozen_garments_show_no_skirt_that_their_pages_did_not_show():
    pieces = [one for one in sample("brackenmere_pullover")["pieces"] if one["name"] in ("back", "front")]
    _, graded = read("brackenmere_pullover", pieces=[skirt(), *pieces], joins=[])
    old = replace(graded, pattern=replace(graded.pattern, wording=2))
    assert "skirt" not in {one.role for one in worn_in_sample(old, 3)}
