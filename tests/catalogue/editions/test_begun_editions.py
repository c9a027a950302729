"""Editions of beginnings: by turns of construction, table, units and gauge, with nothing left unfilled."""

import re
from itertools import product

import pytest
from django.template.loader import render_to_string

from catalogue.drafts.patterns import load_pattern
from catalogue.editions.choices import home_choices, suggested_choices
from catalogue.editions.editions import edition_context, graded_as_frozen
from grading.beginnings.constructions import constructions
from tests.builders import make_studio
from tests.catalogue.builders import make_record
from tests.grading.beginnings.test_beginnings import CASES, GAUGES, begun, crafts, stops

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]
WAYS = [
    (key, table, units, craft, gauge)
    for key, table in CASES
    for craft in crafts(constructions()[key])
    for units, gauge in product(("cm", "in"), range(3))
]
EVERY = 11  # of all ways this one and every so many more: by turns they have every construction and gauge
UNFILLED = re.compile(r"(?<![\w-])(?:nan|None|inf)(?![\w-])|\[\[|\{[a-z_]+\}")


def test_editions_of_beginnings_have_nothing_unfilled():
    make_studio()
    chosen = WAYS[::EVERY]
    assert {one[0] for one in chosen} == set(constructions())
    assert {one[2:3] + one[4:] for one in chosen} == set(product(("cm", "in"), range(3)))
    for place, (key, table, units, craft, gauge) in enumerate(chosen):
        construction = constructions()[key]
        wanted = [one["name"] for one in construction.options]
        document, graded = begun(
            key,
            table,
            fabric=crafts(construction)[craft],
            gauge=GAUGES[craft][gauge],
            units=units,
            options=wanted,
        )
        assert stops(graded) == []
        pattern = load_pattern(document={**document, "title": f"Begun {place}"}, by=None)
        record = make_record(pattern)
        editions = [one for one, _ in suggested_choices(record["pattern"], record["results"]["sizes"])]
        choices = editions[place % len(editions)]
        context = edition_context(record=record, graded=graded_as_frozen(record), choices=choices)
        page = render_to_string("catalogue/pdf/edition.html", {**context, "has_contents": True})
        printed = re.sub(r"<style.*?</style>", "", page, flags=re.DOTALL)
        assert UNFILLED.findall(printed) == [], (key, table, units, craft, gauge, choices)


def test_nobody_is_asked_to_choose_where_a_pattern_has_one_size():
    make_studio()
    key, table = next(one for one in CASES if one[0] == "hat")
    document, _ = begun(key, table, sizes=("8 years",))
    record = make_record(load_pattern(document=document, by=None))
    context = edition_context(record=record, graded=graded_as_frozen(record), choices=home_choices(record))
    for choosing in (context["choosing"], ""):
        told = {**context, "choosing": choosing, "has_contents": True}
        page = " ".join(render_to_string("catalogue/pdf/edition.html", told).split())
        assert "This pattern has one size: every number is for it." in page
        assert not re.findall(r"[Cc]hoose (?:the|your) size|[Aa]ll sizes|Sizes|Mark your size", page)


def test_mittens_are_drawn_as_large_in_one_size_as_in_all():
    make_studio()
    key, table = next(one for one in CASES if one[0] == "mittens")
    document, _ = begun(key, table)
    record = make_record(load_pattern(document={**document, "title": "Pair"}, by=None))
    home, graded = home_choices(record), graded_as_frozen(record)
    sizes = record["results"]["sizes"]
    scales = {
        which: edition_context(record=record, graded=graded, choices={**home, "sizes": which})["whole"].scale
        for which in (home["sizes"], sizes[len(sizes) // 2])
    }
    assert set(scales.values()) == {"1 : 5"}


def printed(key):
    make_studio()
    at, table = next(one for one in CASES if one[0] == key)
    record = make_record(load_pattern(document=begun(at, table)[0], by=None))
    context = edition_context(record=record, graded=graded_as_frozen(record), choices=home_choices(record))
    return " ".join(render_to_string("catalogue/pdf/edition.html", {**context, "has_contents": True}).split())


@pytest.mark.parametrize("key", ["blanket", "shawl"])
def test_a_blanket_or_shawl_is_chosen_by_its_own_size(key):
    page = printed(key)
    assert "Choose your size by the finished measurements in the lower rows." in page
    assert "by the body measurements" not in page


def test_a_measurement_of_the_body_that_is_called_like_one_of_the_garment_says_whose_it_is():
    page = printed("waistcoat")
    assert page.count("Armhole depth on the body, ") == page.count("Armhole depth, ") > 0
