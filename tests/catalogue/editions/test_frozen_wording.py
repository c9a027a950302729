"""What was frozen goes on being printed in the words of its time, though our sentences get better."""

import hashlib
import json
import re
from functools import cache

import pytest
from django.template.loader import render_to_string

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import edition_context, graded_as_frozen
from catalogue.editions.ingredients import EditionFailed
from catalogue.versions.freezing import record_pattern
from catalogue.versions.records import read_record
from grading.core.grade.grade import grade
from grading.core.pattern.wordings import FIRST_WORDING, NEWEST_WORDING
from tests.builders import DATA

FROZEN = DATA / "frozen_records"
# Of each record the pages of four editions, as they were printed when records had no number of a wording.
HASHES = json.loads((FROZEN / "pages_of_wording_1.json").read_text())
# The same as records of the second wording, printed when it was the newest.
HASHES_2 = json.loads((FROZEN / "pages_of_wording_2.json").read_text())
SPACE, BETWEEN_TAGS = re.compile(r"\s+"), re.compile(r"(<(/?[a-z]\w*)[^>]*>)\s+(?=<(/?[a-z]\w*))")
# Between two of these a space is printed.
IN_LINE = {"a", "code", "dd", "dt", "em", "img", "small", "span", "strong", "svg"}


@cache
def frozen(name):
    record = read_record((FROZEN / f"{name}.json").read_text())
    return record, graded_as_frozen(record)


def choices_of(record, which):
    home, sizes = home_choices(record), record["results"]["sizes"]
    return {
        "home": home,
        "other": {
            **home,
            "terms": {"US": "UK", "UK": "US"}[home["terms"]],
            "units": "both",
            "hand": "left" if record["pattern"]["craft"] == "tunisian" else "right",
        },
        "one": {**home, "sizes": sizes[len(sizes) // 2], "units": "in", "print": "large"},
        "saving": {**home, "print": "saving", "units": "in", "terms": "US"},
    }[which]


def pages_of(name, which, **changes):
    """The pages of an edition before they are set, spaces between tags left out where none is printed."""
    record, graded = frozen(name)
    record = {**record, **changes}
    if changes:
        graded = grade(record_pattern(record))
    context = edition_context(record=record, graded=graded, choices=choices_of(record, which))
    pages = render_to_string("catalogue/pdf/edition.html", {**context, "has_contents": True})
    return SPACE.sub(" ", BETWEEN_TAGS.sub(_with_printed_space, pages))


def _with_printed_space(found):
    is_printed = {found[2].lstrip("/"), found[3].lstrip("/")} <= IN_LINE
    return found[1] + (" " if is_printed else "")


@pytest.mark.parametrize("edition", HASHES)
def test_a_record_of_the_first_wording_prints_the_same_pages(edition):
    assert hashlib.sha256(pages_of(*edition.split()).encode()).hexdigest() == HASHES[edition]


@pytest.mark.parametrize("edition", HASHES_2)
def test_a_record_of_the_second_wording_prints_the_same_pages(edition):
    printed = pages_of(*edition.split(), wording=2)
    assert hashlib.sha256(printed.encode()).hexdigest() == HASHES_2[edition]


def test_a_record_prints_in_the_words_of_its_own_number():
    record, _ = frozen("thistledrift_waistcoat")
    sections = [{"title": "Edge", "steps": ["Work 2 trs, 2 dcs."]}]
    old = {"pattern": {**record["pattern"], "sections": sections}}
    assert "<li><p>Work 2 dtrs, 2 trs.</p></li>" in pages_of("thistledrift_waistcoat", "other", **old)
    new = pages_of("thistledrift_waistcoat", "other", **old, wording=2)
    assert "<li><p>Work 2 trs, 2 tr.</p></li>" in new


def test_a_left_hand_edition_says_so_under_its_title_and_where_it_says_how_to_read():
    told = pages_of("thistledrift_waistcoat", "other", wording=NEWEST_WORDING)
    assert '</h1><p class="test-version">Left-handed edition</p>' in told
    assert told.count("left-handed makers") == 1
    assert "Left-handed edition" not in pages_of("thistledrift_waistcoat", "home", wording=NEWEST_WORDING)


def test_how_to_read_fills_the_page_before_the_stripe_plan_since_the_third_wording():
    newest, older = (pages_of("thistledrift_waistcoat", "home", wording=one) for one in (NEWEST_WORDING, 2))
    for mark in ("id", "href"):
        reading, stripes = (f'{mark}="{"#" * (mark == "href")}{name}"' for name in ("reading", "stripes"))
        assert newest.index(reading) < newest.index(stripes)
        assert older.index(stripes) < older.index(reading)


def test_a_record_without_a_number_has_the_first_wording():
    record, graded = frozen("thistledrift_waistcoat")
    assert "wording" not in record
    assert graded.pattern.wording == FIRST_WORDING
    assert record_pattern({**record, "wording": NEWEST_WORDING}).wording == NEWEST_WORDING


def test_a_record_prints_though_more_is_noticed_now_but_not_with_other_numbers():
    record, _ = frozen("saltpan_jacket")
    results = record["results"]
    graded_as_frozen({**record, "results": {**results, "findings": []}})
    values = {**results["values"], "no_such_value": {}}
    with pytest.raises(EditionFailed, match="frozen with other numbers"):
        graded_as_frozen({**record, "results": {**results, "values": values}})
