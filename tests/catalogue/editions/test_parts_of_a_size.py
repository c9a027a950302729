"""What a size does not have is not printed for it: notions, measurements, pieces, sentences, cautions."""

import pytest
from django.utils.html import strip_tags

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import edition_context, graded_as_frozen
from catalogue.editions.notions import notion_lines
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.printing.edition import PrintForm
from tests.builders import sample
from tests.catalogue.builders import make_pattern, make_record


def lines_of(notions, *values, units="cm", size=None, **changes):
    """The lines of notions of a child's jacket whose values are these alone."""
    document = {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Jacket",
        "craft": "crochet",
        "home_units": "cm",
        "home_terms": "UK",
        "sizes": ["2y", "4y", "6y"],
        "values": [
            {"name": name, "label": name, "kind": kind, "list": numbers} for name, kind, numbers in values
        ],
        "notions": notions,
        **changes,
    }
    pattern = read_pattern(document)
    kept = range(3) if size is None else [pattern.sizes.index(size)]
    return notion_lines(facts_of(pattern, grade(pattern)), PrintForm(units=units, sizes=size), list(kept))


NEEDLE = "1 sewing needle with sewing thread"
BUTTONS = {"label": "buttons", "count": "buttons", "size": "18 mm"}


@pytest.mark.parametrize("none", [None, 0])
def test_a_notion_of_some_sizes_names_them_and_is_left_out_of_the_others(none):
    values = ("buttons", "count", [none, 4, 5])
    assert lines_of([BUTTONS], values) == ["– (4, 5) buttons, 18 mm (sizes 4y and 6y only)"]
    assert lines_of([BUTTONS], values, size="6y") == ["5 buttons, 18 mm"]
    assert lines_of([BUTTONS], values, size="2y") == []


def test_a_notion_of_all_sizes_names_none():
    assert lines_of([BUTTONS], ("buttons", "count", [3, 4, 5])) == ["3 (4, 5) buttons, 18 mm"]
    assert lines_of([{"label": "zip", "count": 1}]) == ["1 zip"]


def test_a_notion_whose_number_no_size_has_keeps_its_line():
    assert lines_of([BUTTONS], ("buttons", "count", [None, None, None])) == ["– buttons, 18 mm"]


@pytest.mark.parametrize(
    ("units", "line"), [("cm", "30 cm tape (size 2y only)"), ("both", "11¾ in / 30 cm tape (size 2y only)")]
)
def test_a_notion_may_be_a_length(units, line):
    tape = {"label": "tape", "count": "tape"}
    assert lines_of([tape], ("tape", "length", ["30 cm", None, None]), units=units) == [line]


def test_a_notion_for_a_choice_and_for_some_sizes_says_both():
    option = {"name": "ties", "label": "Ties", "choices": ["no", "yes"], "default": "no"}
    toggle = {"label": "toggles", "count": "toggles", "when": {"ties": "yes"}}
    lines = lines_of([toggle], ("toggles", "count", [0, 2, 2]), options=[option])
    assert lines == ["2 toggles (with ties; sizes 4y and 6y only)"]


@pytest.fixture(scope="module")
def known():
    """The record of the jacket, made once."""
    return {}


@pytest.fixture
def pages(known, db):
    """Everything that the jacket's edition of one size prints, as one text."""
    if not known:
        known["record"] = make_record(make_pattern("puffinbay_child"), kind="release", number="1.0")
    record = known["record"]

    def of(size):
        choices = {**home_choices(record), "sizes": size}
        return edition_context(record=record, graded=graded_as_frozen(record), choices=choices)

    return of


def steps_of(context):
    return " ".join(strip_tags(step) for section in context["instructions"] for step in section.steps)


def test_the_smallest_size_of_the_jacket_has_neither_buttons_nor_ties(pages):
    context = pages("2y")
    steps = " ".join(steps_of(context).split())
    assert "Work 6 rows of dc in all. Make no buttonholes." in steps
    assert "buttons" not in steps  # it has none to sew on
    assert "Ties" not in steps
    assert context["notions"] == ["27.5 cm hook-and-loop tape, to sew on, 20 mm wide", NEEDLE]
    assert context["strips"] == []
    rows = [row.label for table in context["measurement_tables"] for row in table.rows]
    assert not any("tie" in row for row in rows)
    assert not any("tie" in label for label, _ in context["how_to_measure"])
    assert not any("ties" in row.label for table in context["yarn_tables"] for row in table.rows)
    assert any("use no buttons for children under 3 years" in one for one in context["cautions"])


def test_the_largest_size_of_the_jacket_is_told_nothing_of_the_smallest(pages):
    context = pages("12y")
    assert "under 3 years" not in steps_of(context)
    assert "tape" not in steps_of(context)
    assert context["notions"] == ["6 buttons, 15 mm", NEEDLE]
    assert any(row.label == "Each tie, free length, cm" for row in context["measurement_tables"][0].rows)
    assert not any("2y" in one for one in context["cautions"])


def test_all_sizes_of_the_jacket_keep_their_places(pages):
    context = pages("all")
    assert context["notions"] == [
        "– (4, 5, 5, 6, 6) buttons, 15 mm (sizes 4y to 12y only)",
        "27.5 cm hook-and-loop tape, to sew on, 20 mm wide (size 2y only)",
        NEEDLE,
    ]
    (tie,) = context["strips"]
    told = "with buttons and ties; sizes 4y to 12y only"
    assert tie == f"Tie, free end (make 4; {told}): a strip, 14 cm long and 1 cm wide."
    assert any("Size 2y is for children under 3 years" in one for one in context["cautions"])


def test_the_jacket_is_refused_nothing(db):
    document = sample("puffinbay_child")
    assert [one for one in grade(read_pattern(document)).findings if one.weight == "stop"] == []


@pytest.mark.parametrize(
    ("size", "units", "told"),
    # By hand, to the eighth of an inch of 25.4 mm: 18 / 25.4 is 5.7 eighths, 15 / 25.4 4.7, 28 / 25.4 8.8,
    # 20 / 25.4 6.3, 80 / 25.4 25.2. Needles and zips are sold in whole inches: 40 cm are 15.7.
    [
        ("18 mm", "in", "18 mm (¾ in)"),
        ("15 mm", "in", "15 mm (⅝ in)"),
        ("28 mm", "in", "28 mm (1⅛ in)"),
        ("18 mm", "cm", "18 mm"),
        ("18 mm (¾ in)", "in", "18 mm (¾ in)"),
        ("15 mm", "both", "15 mm (⅝ in)"),
        ("20 mm wide", "in", "20 mm (¾ in) wide"),
        ("8 cm", "in", "8 cm (3⅛ in)"),
        ("40 cm", "in", "40 cm (16 in)"),
        ("40 cm", "both", "40 cm (16 in)"),
        ("40 cm", "cm", "40 cm"),
    ],
)
def test_a_metric_size_has_its_inches_in_editions_with_inches(size, units, told):
    [line] = lines_of([{"label": "buttons", "count": 3, "size": size}], units=units)
    assert line == f"3 buttons, {told}"
