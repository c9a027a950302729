"""Yarn weight categories agree with the council's table; ranges overlap, so all that fit are named."""

import pytest

from grading.core.yarn.weights import YARN_WEIGHTS, yarn_weights_of
from tests.check_values import check_value

GROUP = "2-yarn-weight"


@pytest.mark.parametrize("weight", YARN_WEIGHTS, ids=lambda one: one.name)
def test_each_category_is_that_of_the_councils_table(weight):
    known = check_value(GROUP, f"weight-{weight.number}")  # two independent reprints
    assert list(weight.crochet_stitches) == known["crochet_sts"]
    assert list(weight.knit_stitches) == known["knit_sts"]
    assert list(weight.hook_mm) == known["hook_mm"]
    assert list(weight.needle_mm) == known["needle_mm"]


def test_gauges_in_two_categories_name_both():
    known = check_value(GROUP, "weight-overlap-crochet")  # computed from the ranges
    for stitches in range(1, 43):
        fitting = [one.number for one in yarn_weights_of(stitches, "crochet")]
        assert fitting == known["shared"].get(str(stitches), fitting)
        assert len(fitting) == (2 if str(stitches) in known["shared"] else 1)
    assert known["uncovered"] == []


def test_knitting_gauges_fit_one_category_and_finer_ones_than_lace_none():
    assert [[one.number for one in yarn_weights_of(n, "knitting")] for n in (6, 15, 20.4, 20.5, 41)] == [
        [7], [5], [4], [3], [],
    ]  # fmt: skip
