"""A neck that is closed all round goes over a head when it is stretched, or it is noticed."""

import pytest

from grading.core.grade.grade import grade
from grading.core.grade.neck_openings import head_at_age_mm, necks_over_heads, opening_words
from grading.core.pattern.file import read_pattern
from grading.core.sizes.tables import numbers_mm
from grading.sizes.tables import published_tables
from tests.builders import sample


def necks(document):
    """The sizes whose neck is noticed, with what is said."""
    found = grade(read_pattern(document)).findings
    return {one.size: one.says for one in found if "a head measures" in one.says}


def pullover(neck_rows="8 cm", **changes):
    """The crochet pullover with a front neck of another depth."""
    document = {**sample("brackenmere_pullover"), **changes}
    for value in document["values"]:
        if value["name"] == "neck_rows":
            value["formula"] = f"{neck_rows} * main.rows"
    return document


def test_a_neck_in_crochet_that_gives_too_little_is_noticed_size_by_size():
    """By hand: 64 sts at 14 to 10 cm are 45.7 cm, and 15 % more 52.6; the largest, 72, are 51.4 and 59.1."""
    found = necks(pullover())
    assert set(found) == {"XS", "S", "M"}
    assert found["M"] == (
        "The neck is 45.7 cm round, about 52.6 cm when it is stretched, and a head measures 55.0 cm. "
        "Make the neck wider or deeper, or add an opening."
    )


def test_a_deeper_neck_goes_over_a_head():
    assert necks(pullover("10 cm")) == {}


def test_an_opening_ends_it():
    buttons = {"label": "buttons", "count": 3, "size": "15 mm"}
    assert necks(pullover(notions=[buttons])) == {}


@pytest.mark.parametrize(("head_cm", "sizes"), [(52, set()), (53, {"XS", "S", "M"}), (60, None)])
def test_a_head_that_is_measured_counts_for_its_size(head_cm, sizes):
    """By hand: 52.6 cm is more than 52; 59.1 cm is less than 60 in every size."""
    document = pullover()
    head = {"label": "Head girth", "unit": "cm", "values": [head_cm] * len(document["sizes"])}
    found = necks({**document, "body": {**document["body"], "head": head}})
    assert set(found) == (set(document["sizes"]) if sizes is None else sizes)


def test_a_childs_head_is_that_of_its_age():
    """The size table of heads, whose values are held against their sources by its own test."""
    table = published_tables()["heads"]
    (of,) = table.measurements
    known = dict(zip(table.sizes, numbers_mm(table, of, "middle"), strict=True))
    for size in ("6 months", "12 months", "2 years", "4 years", "8 years", "12 years"):
        assert head_at_age_mm(size) == pytest.approx(known[size])
    assert head_at_age_mm("6y") == pytest.approx((498 + 534) / 2)
    assert head_at_age_mm("3 to 6 months") == 428
    assert head_at_age_mm("16 years") == 547


def test_of_children_without_a_measured_head_or_an_age_nothing_is_known():
    assert necks(pullover(wearer="child")) == {}
    assert necks(pullover(wearer="adult")) != {}


@pytest.mark.parametrize("name", ["cinderfell_raglan", "puffinbay_child", "thistledrift_waistcoat"])
def test_the_other_samples_go_over_a_head_or_open(name):
    assert necks(sample(name)) == {}


def told(document):
    """Of each size how its neck goes over the head."""
    pattern = read_pattern(document)
    return {one.size: one.fit for one in necks_over_heads(pattern, grade(pattern).joins)}


@pytest.mark.parametrize(
    ("head_cm", "fit"), [(45.7, "goes over"), (46, "stretched"), (52.5, "stretched"), (53, "tight")]
)
def test_a_neck_is_told_beside_the_head_also_where_nothing_is_noticed(head_cm, fit):
    """By hand: size M is 64 sts at 14 to 10 cm, 45.71 cm round, and 52.57 cm with 15 % more."""
    document = pullover()
    head = {"label": "Head girth", "unit": "cm", "values": [head_cm] * len(document["sizes"])}
    assert told({**document, "body": {**document["body"], "head": head}})["M"] == fit


def test_of_heads_that_nobody_knows_nothing_is_told():
    assert told(pullover(wearer="child")) == {}


@pytest.mark.parametrize(
    ("notion", "where"),
    [("buttons", "at the neck"), ("a zip", "at the neck"), ("ribbon", "")],
)
def test_where_a_garment_opens_is_told(notion, where):
    notions = [{"label": notion, "count": 3, "size": "15 mm"}]
    assert opening_words(read_pattern(pullover(notions=notions))) == where


def test_a_garment_of_two_fronts_opens_in_front():
    assert opening_words(read_pattern(sample("puffinbay_child"))) == "in front"
