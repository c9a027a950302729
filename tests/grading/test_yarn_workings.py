"""How the yarn of a size is worked out, part by part."""

import json
from pathlib import Path

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.grid.yarn_workings import yarn_working_table

DEMO = Path(__file__).resolve().parents[2] / "catalogue" / "site" / "demo"


def number(text):
    return float(text.replace(",", ""))


@pytest.mark.parametrize("name", ["brackenmere_pullover", "cinderfell_raglan", "thistledrift_waistcoat"])
def test_the_parts_of_a_size_make_its_yarn(name):
    graded = grade(read_pattern(json.loads((DEMO / f"{name}.json").read_text())))
    for need in graded.yarn:
        table = yarn_working_table(graded, need.options, graded.sizes[-1])
        whole = sum(float(of.weight_g[-1]) for of in need.colours.values())
        assert number(table.total) == pytest.approx(whole, abs=0.06)
        for part in table.parts:
            worked = number(part.worked) * number(part.each) / 1000 + number(part.extra)
            # what is shown is rounded: grams per 1,000 to a hundredth
            assert worked == pytest.approx(number(part.weight), rel=0.01, abs=0.1)
        assert sum(number(part.total) for part in table.parts) == pytest.approx(whole, abs=0.5)
        balls = {one.colour: one.balls.split()[0] for one in table.bought if one.balls}
        assert balls == {
            colour: f"{float(of.balls[-1]):.0f}" for colour, of in need.colours.items() if of.balls[-1] > 0
        }


def test_what_is_bought_is_told_by_how_the_yarn_is_sold():
    graded = grade(read_pattern(json.loads((DEMO / "brackenmere_pullover.json").read_text())))
    (need, *_) = graded.yarn
    (one, *_) = yarn_working_table(graded, need.options, "XS").bought
    weight = float(next(iter(need.colours.values())).weight_g[graded.sizes.index("XS")])
    sold = graded.pattern.yarns[0]
    assert sold.length_per_100g_m == 220
    length = weight * 220 / 100
    assert (one.sold, number(one.weight)) == ("50 g = 110 m", pytest.approx(weight, abs=0.06))
    assert number(one.length.split()[0]) == pytest.approx(length, abs=0.6)
