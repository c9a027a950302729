"""One part in a colour for one choice and in stripes for another."""

import copy

import pytest

from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_edited_pattern, read_pattern
from grading.core.pattern.pattern import YarnByChoice, YarnSectionEntry
from tests.grading.core import sheets
from tests.grading.yarn_by_choice import coloured_by_choice, read_demo, without_extras

TWICE = without_extras(read_demo("thistledrift_waistcoat"))
ONCE = coloured_by_choice(TWICE)


def graded(document):
    return grade(read_pattern(copy.deepcopy(document)))


def findings_of(document):
    found = graded(document).as_json()["findings"]
    return [(one["size"], one["says"]) for one in found if one["where"].startswith("yarn_sections")]


def with_rows(*rows, **changes):
    document = copy.deepcopy(ONCE)
    document["yarn_sections"][1] |= {"by_choice": list(rows), **changes}
    return document


def test_parts_that_are_entered_once_take_what_they_took_when_entered_twice():
    assert len(ONCE["yarn_sections"]) == len(TWICE["yarn_sections"]) - 2
    once, twice = (graded(one).as_json()["yarn"] for one in (ONCE, TWICE))
    assert len(once) == 4
    for one, other in zip(once, twice, strict=True):
        assert one["options"] == other["options"]
        for colour, amounts in other["colours"].items():
            assert one["colours"][colour]["weight"] == pytest.approx(amounts["weight"])
            assert one["colours"][colour]["balls"] == amounts["balls"]


def test_a_file_without_such_choices_means_what_it_meant():
    part = read_pattern(TWICE).yarn_sections[1]
    assert part.by_choice == ()
    assert part.ways({"colours": ("solid", "striped")}) == [part]


def test_the_first_choice_that_is_made_holds_and_no_two_ways_are_made_at_once():
    rows = (
        YarnByChoice("colours", "solid", colour="A"),
        YarnByChoice("belt", "yes", colour="B"),
        YarnByChoice("colours", "solid", colour="C"),
    )
    part = YarnSectionEntry("Back", "main", "1", stripes="drift", rows=9, by_choice=rows)
    ways = part.ways({"colours": ("solid", "striped"), "belt": ("yes", "no")})
    assert [(way.colour, way.stripes, dict(way.when)) for way in ways] == [
        (None, "drift", {"colours": ("striped",), "belt": ("no",)}),
        ("A", None, {"colours": ("solid",)}),
        ("B", None, {"colours": ("striped",), "belt": ("yes",)}),
    ]


def test_a_part_of_one_choice_alone_has_the_ways_of_that_choice():
    rows = (YarnByChoice("colours", "solid", colour="A"),)
    part = YarnSectionEntry("Back", "main", "1", colour="B", when=(("colours", ("solid",)),), by_choice=rows)
    ways = part.ways({"colours": ("solid", "striped")})
    assert [(way.colour, way.when) for way in ways] == [("A", (("colours", ("solid",)),))]


def test_a_choice_that_there_is_not_is_said_and_gives_no_number():
    gone = {"option": "colours", "choice": "plain", "colour": "A"}
    assert findings_of(with_rows(gone)) == [
        (None, "“by_choice” names “plain”, which is no choice of the option “colours”.")
    ]
    for need in graded(with_rows(gone)).as_json()["yarn"]:
        assert set(need["colours"]["A"]["weight"]) == {None}


def test_what_is_wrong_in_several_ways_is_said_once():
    again = {"option": "colours", "choice": "solid", "stripes": "drift"}
    found = findings_of(with_rows(again, rows=0))
    assert found == [(size, "“rows” must be 1 or more, not 0.") for size in ONCE["sizes"]]


def test_an_unknown_colour_of_a_choice_is_said():
    row = {"option": "colours", "choice": "solid", "colour": "Q"}
    says = "“Q” is not a colour of this pattern's yarns: add a yarn of that letter first."
    assert findings_of(with_rows(row)) == [(None, says)]


@pytest.mark.parametrize("trusted", [True, False])
def test_stripes_of_a_choice_need_the_rows_of_the_part(trusted):
    document = with_rows({"option": "colours", "choice": "striped", "stripes": "drift"}, colour="A")
    for key in ("stripes", "rows"):
        del document["yarn_sections"][1][key]
    with pytest.raises(PatternFileError, match="need the rows of the part") as refused:
        read_pattern(document, trusted=trusted)
    assert refused.value.path == "$.yarn_sections[1].rows"


@pytest.mark.parametrize("row", [{"colour": "A", "stripes": "drift"}, {}])
def test_a_choice_has_a_colour_or_stripes(row):
    with pytest.raises(PatternFileError) as refused:
        read_pattern(with_rows({"option": "colours", "choice": "solid", **row}))
    assert refused.value.path == "$.yarn_sections[1].by_choice[0]"


def test_an_edit_of_such_a_part_alone_is_read_like_the_whole_file():
    document = with_rows({"option": "colours", "choice": "solid", "colour": "B"})
    edited = read_edited_pattern(read_pattern(ONCE), document, [("yarn_sections", 1)])
    assert edited.yarn_sections == read_pattern(document).yarn_sections


@pytest.mark.parametrize(
    ("rows", "sizes"), [([None, 8, 8], "S"), ([None, None, 8], "S and M"), ([0, 8, 8], None)]
)
def test_a_part_without_a_number_in_some_sizes_is_told(rows, sizes):
    part = {"name": "Cord", "fabric": "main", "worked": "3 stitches * cord_rows", "colour": "A"}
    of = sheets.graded(
        sheets.value("cord_rows", kind="rows", list=rows),
        options=[{"name": "cord", "label": "Cord", "choices": ["none", "cord"], "default": "none"}],
        fabrics={"main": {"label": "Stockinette", "stitches": 20, "rows": 28, "over": "10 cm"}},
        yarns=[{"colour": "A", "label": "Copse", "length_per_100g": "200 m", "put_up": "50 g"}],
        yarn_sections=[{**part, "when": {"cord": "cord"}}, part],
    )
    says = (
        f"“Cord” has no number in {sizes}, so the yarn of a choice with it prints as a dash. "
        "Let it come to 0 where the part is not made."
    )
    assert [one for _, _, one in sheets.found(of, "yarn_sections[0]")] == ([says] if sizes else [])
    assert sheets.found(of, "yarn_sections[1]") == []
