"""Findings that nobody asked for."""

from typing import Any

import pytest

from grading.core.formula.errors import PatternFileError
from grading.grid.finding_groups import finding_groups
from tests.grading.core.sheets import found, graded, measured, value, worked

SIX = ["XS", "S", "M", "L", "XL", "2X"]


def centimetres(*numbers):
    return [None if number is None else f"{number} cm" for number in numbers]


def test_counts_below_zero_stop_and_blank_nothing():
    of = graded(value("a", "0 - 2 rows", kind="rows"), value("b", "a + 1 rows", kind="rows"))
    assert [(size, weight) for size, weight, _ in found(of, "values.a")] == [(s, "stop") for s in "SML"]
    assert worked(of, "b") == [-1, -1, -1]


def test_stitches_to_be_taken_in_evenly_over_a_row_have_a_minus_and_may_be_more_in_larger_sizes():
    spread = {"name": "waist", "change": "fewer", "in": 60}
    of = graded(value("fewer", kind="stitches", list=[-4, -6, -8]), spreads=[spread])
    assert of.findings == ()
    less = graded(value("fewer", kind="stitches", list=[8, 6, 4]), spreads=[spread])
    assert [size for size, _, _ in found(less, "values.fewer")] == ["M", "L"]


def test_a_list_entry_off_its_own_rounding_warns():
    of = graded(value("a", kind="stitches", list=[4, 5, None], round={"to": "up", "multiple": 4}))
    ((size, weight, says),) = found(of, "values.a")
    assert (size, weight) == ("M", "warn")
    assert "8" in says
    assert worked(of, "a") == [4, 8, None]


@pytest.mark.parametrize(
    ("entries", "sizes"),
    [
        (centimetres(10, 9.9, 11), ["M"]),
        (centimetres(10, 9.91, 11), []),
        (centimetres(10, None, 9.5), ["L"]),
        (centimetres(None, 9, 10), []),
    ],
)
def test_measured_values_that_shrink_by_a_millimetre_warn(entries, sizes):
    of = graded(value("a", list=entries, measured=measured()))
    assert [size for size, _, _ in found(of, "values.a")] == sizes


def test_counts_that_shrink_warn_and_lengths_not_measured_do_not():
    of = graded(
        value("a", kind="rows", list=[10, 9, 9]),
        value("b", list=centimetres(10, 9, 8)),
        value("c", kind="rows", list=[10, 9, 8], may_shrink=True, note="Shoulders drop."),
    )
    assert [size for size, _, _ in found(of, "values.a")] == ["M"]
    assert found(of, "values.b") == found(of, "values.c") == []


def test_a_number_that_shrinks_is_held_against_the_last_size_that_has_one():
    of = graded(value("a", kind="rows", list=[10, None, 8]))
    assert found(of, "values.a") == [
        ("L", "warn", "A: 8 is smaller than 10 in size S; if this is right, note why.")
    ]


def test_lengths_stand_in_the_home_units():
    shrinking = value("a", list=["10 in", "9.5 in", "11 in"], measured=measured())
    rounded = value("b", "bust", round={"to": "up", "multiple": "15 cm"}, measured=measured(tolerance="2 in"))
    eased = value(
        "c", "bust + 1 in", measured=measured(compares_to="bust", ease=["2 in", "6 in"], tolerance="1 in")
    )
    listed = value("d", list=["4 in", "5 in", "6.3 in"], round={"to": "nearest", "multiple": "0.5 in"})
    of = graded(shrinking, rounded, eased, listed, home_units="in")
    assert [found(of, f"values.{name}")[0][2] for name in "abcd"] == [
        "A: 9.5 in is smaller than 10 in in size S; if this is right, note why.",
        "Rounding makes this 3.94 in more than it would be without; the tolerance is 2 in.",
        "The ease over “Bust girth” is 1 in; wanted is 2 in to 6 in.",
        "The entry 6.3 in does not fit this line’s multiple; 6.5 in is used.",
    ]


def test_uneven_steps_stand_in_the_home_units():
    entries = [f"{inches} in" for inches in (10, 12, 14, 19, 21, 23)]
    of = graded(value("a", list=entries, measured=measured()), sizes=SIX, home_units="in")
    assert found(of, "values.a") == [("L", "warn", "The step from M is 5 in, where 2 in is usual.")]


def test_an_uneven_step_is_told_as_the_sheet_shows_it_and_as_it_is_before_rounding():
    # 10, 12, 14, 19, 21, 23 in to whole 1.5 in: 10.5, 12, 13.5, 19.5, 21, 22.5, so steps of 1.5 and one of 6
    bust = {"bust": {"label": "Bust girth", "unit": "in", "values": [10, 12, 14, 19, 21, 23]}}
    rounded = value("a", "bust", round={"to": "nearest", "multiple": "1.5 in"}, measured=measured())
    of = graded(rounded, sizes=SIX, home_units="in", body=bust)
    (says,) = [says for size, _, says in found(of, "values.a") if size == "L" and says.startswith("The step")]
    assert says == (
        "The step from M is 6 in, where 1.5 in is usual. Before rounding: 5 in, and 2 in. "
        "The jump comes from the size table (Bust girth)."
    )


def test_rounding_beyond_the_tolerance_warns():
    of = graded(
        value("a", "bust", round={"to": "up", "multiple": "15 cm"}, measured=measured(tolerance="5 cm"))
    )
    # 80, 90, 100 become 90, 90, 105: 10 and 5 cm off; 5 is within.
    assert [size for size, _, _ in found(of, "values.a")] == ["S"]


def test_ease_outside_what_was_wanted_warns():
    ease = measured(compares_to="bust", ease=["2 cm", "6 cm"])
    of = graded(value("a", list=centimetres(82, 97, 101), measured=ease))
    assert [(size, weight) for size, weight, _ in found(of, "values.a")] == [("M", "warn"), ("L", "warn")]


def test_an_unknown_body_measurement_to_compare_to_stops():
    of = graded(value("a", "bust", measured=measured(compares_to="busst", ease=["2 cm", "6 cm"])))
    assert [(size, weight) for size, weight, _ in found(of, "values.a")] == [(None, "stop")]
    assert worked(of, "a") == [800, 900, 1000]


@pytest.mark.parametrize(
    ("entries", "sizes"),
    [
        (centimetres(10, 12, 14, 17.1, 19, 21), []),  # 3.1 is more than twice 2 only from 4 on
        (centimetres(10, 12, 14, 18.1, 20, 22), ["L"]),  # 4.1 is, and 2.1 cm from it
        (centimetres(10, 10.5, 11, 12.1, 12.6, 13), []),  # 1.1 is, but within 1 cm of 0.5
        (centimetres(10, 12.5, 15, 16.2, 18.7, 21.2), ["L"]),  # 1.2 is less than half of 2.5
        (centimetres(10, 12, 14, None, 18.1, 20.1), []),  # the steps at the gap are unknown
        (centimetres(10, 12, None, None, 16, 25), []),  # four sizes only
    ],
)
def test_uneven_steps_of_measured_values_warn(entries, sizes):
    of = graded(value("a", list=entries, measured=measured()), sizes=SIX)
    assert [size for size, _, _ in found(of, "values.a")] == sizes


@pytest.mark.parametrize(
    ("sizes", "is_told"),
    [
        (["3m", "6m", "12m", "18m", "24m", "3y"], False),
        (["3 months", "6 months", "9–12 months", "1–2 years", "2 years", "3 yrs"], False),
        (SIX, True),
    ],
)
def test_ages_lie_unevenly_apart_as_their_size_table_has_them(sizes, is_told):
    """Common practice: a table for children grows with them; an uneven line of the sheet is told still."""
    body = {"bust": {"label": "Bust girth", "unit": "cm", "values": [40, 42, 44, 49, 51, 53]}}
    own = value("own", list=centimetres(10, 12, 14, 19, 21, 23), measured=measured())
    of = graded(value("chest", "bust", measured=measured()), own, sizes=sizes, body=body)
    assert bool(found(of, "values.chest")) is is_told
    assert [size for size, _, _ in found(of, "values.own")] == [sizes[3]]


def test_a_jump_says_when_it_comes_from_the_size_table_and_can_be_silenced():
    body = {"bust": {"label": "Bust girth", "unit": "cm", "values": [80, 84, 88, 98, 102, 106]}}
    quiet: dict[str, Any] = {"may_jump": True, "note": "The table jumps here."}
    of = graded(
        value("ease", "4 cm"),
        value("chest", "bust + ease", measured=measured()),
        value("hip", "bust + ease", measured=measured(), **quiet),
        sizes=SIX,
        body=body,
    )
    ((size, weight, says),) = found(of, "values.chest")
    assert (size, weight) == ("L", "warn")
    assert "comes from the size table (Bust girth)" in says
    assert found(of, "values.hip") == []


CHILD: dict[str, Any] = {"sizes": ["2y", "4y"], "wearer": "child", "hazards": ["ties"]}


@pytest.mark.parametrize(
    ("more", "where"),
    [
        ({"sizes": ["0-3 m", "3-6 m"]}, ["wearer"]),
        ({"sizes": ["1½ y", "2 y"]}, ["wearer"]),
        ({"sizes": ["M", "2X"]}, []),
        ({"sections": [{"title": "Finish", "steps": ["Sew on 4 buttons."]}]}, ["wearer"]),
        ({"sections": [{"title": "Finish", "steps": ["Keep it tidy."]}]}, []),
        ({"summary": "With a pompom.", "wearer": "adult"}, []),
        ({"summary": "With a cord.", "wearer": "child"}, ["hazards"]),
        ({"sizes": ["2y", "4y"], "summary": "With ties.", "wearer": "child", "hazards": ["ties"]}, []),
        ({**CHILD, "notions": [{"label": "snap fasteners", "count": 3}]}, ["hazards", "notions[0]"]),
        ({**CHILD, "hazards": ["ties", "small parts"], "notions": [{"label": "snaps", "count": 0}]}, []),
    ],
)
def test_cautions_ask_for_wearer_and_hazards(more, where):
    assert [one.where for one in graded(**more).findings] == where


@pytest.mark.parametrize(
    "line",
    [
        value("buttons", kind="count", list=[2, None, 4]),
        value("buttons", kind="count", list=[2, 0, 4]),
        value("buttons", "if size_number = 2 then 0 else 3", kind="count"),
    ],
)
def test_small_parts_that_a_line_counts_for_a_child_under_3_are_found_in_their_sizes(line):
    sizes = {"sizes": ["1y", "2y", "4y"], "wearer": "child", "hazards": ["buttons"]}
    of = graded(line, **sizes, notions=[{"label": "buttons", "count": "buttons"}])
    ((size, weight, says),) = found(of, "notions[0]")
    assert (size, weight) == ("1y", "warn")
    assert says == (
        "“buttons” are small parts, and this size is for a child under 3 years: "
        "count none for it, and close it in another way."
    )


@pytest.mark.parametrize(
    ("step", "asked"),
    [
        ("Thread a cord through.", ["This has “cord”, and no hazard names it: add “cords” under “hazards”."]),
        ("Sew on a button.", ["This has “button”, and no hazard names it: add “buttons” under “hazards”."]),
        ("Make two ties.", ["This has “ties”, and no hazard names it: add “ties” under “hazards”."]),
        ("Use a hook with a cord. Make it without ties.", []),
        ("Make the buttonholes.", []),
    ],
)  # fmt: skip
def test_what_a_step_adds_to_the_garment_of_a_child_is_named_as_a_hazard(step, asked):
    child = {**CHILD, "hazards": ["loose blanket"]}
    of = graded(**child, sections=[{"title": "Finish", "steps": [step]}])
    assert [says for _, _, says in found(of, "hazards")] == asked


def test_cautions_ask_only_for_what_is_missing():
    child: dict[str, Any] = {"summary": "With a cord.", "wearer": "child"}
    (missing_hazards,) = graded(**child).findings
    assert missing_hazards.says == "This has the word “cord”: say under “hazards” what could harm a child."
    (missing_both,) = graded(summary="With a cord.").findings
    assert missing_both.says == (
        "This has the word “cord”: say under “wearer” and “hazards” who wears it and what could harm a child."
    )


def test_a_failed_check_is_a_finding_of_its_own_weight_for_each_size():
    check = {"name": "wide", "holds": "bust >= 90 cm", "says": "Too narrow.", "weight": "stop"}
    of = graded(checks=[check])
    assert of.checks["wide"] == (False, True, True)
    assert found(of, "checks.wide") == [("S", "stop", "Too narrow.")]


@pytest.mark.parametrize(
    ("says", "printed"),
    [
        ("Not within {1 cm}.", "Not within 1 cm."),
        ("Not within {1 cm of {bust}.", "Not within {1 cm of {bust}."),  # not readable: as typed
        ("Only {bust}.", "Only {bust}."),  # a name can't stand here: as typed
    ],
)
def test_a_written_length_in_what_a_check_says_is_printed(says, printed):
    check = {"name": "wide", "holds": "bust >= 90 cm", "says": says, "weight": "stop"}
    assert found(graded(checks=[check]), "checks.wide")[0] == ("S", "stop", printed)


def test_a_check_that_is_no_condition_stops_with_its_place():
    of = graded(checks=[{"name": "wide", "holds": " bust + 2 cm", "says": "No.", "weight": "warn"}])
    (one,) = of.findings
    assert (one.where, one.size, one.weight, one.line, one.column) == ("checks.wide", None, "stop", 1, 2)
    assert of.checks["wide"] == (None, None, None)


def test_each_kind_that_is_said_once_for_all_sizes_is_known_by_its_sentence():
    shrinking = value("a", list=["10 in", "9.5 in", "11 in"], measured=measured())
    rounded = value("b", "bust", round={"to": "up", "multiple": "15 cm"}, measured=measured(tolerance="2 in"))
    eased = value(
        "c", "bust + 1 in", measured=measured(compares_to="bust", ease=["2 in", "6 in"], tolerance="1 in")
    )
    listed = value("d", list=["4 in", "5 in", "6.3 in"], round={"to": "nearest", "multiple": "0.5 in"})
    of = graded(shrinking, rounded, eased, listed, home_units="in")
    uneven = [f"{inches} in" for inches in (10, 12, 14, 19, 21, 23)]
    steps = graded(value("e", list=uneven, measured=measured()), sizes=SIX, home_units="in")
    findings = [
        {"where": f"values.{name}", "size": size, "weight": weight, "says": says}
        for name, one in (*((name, of) for name in "abcd"), ("e", steps))
        for size, weight, says in found(one, f"values.{name}")[:1]
    ]
    labels = [{"name": name, "label": name.upper()} for name in "abcde"]
    groups = finding_groups({"values": labels, "sizes": []}, findings)
    assert {group.name: (group.says, group.settled_by) for group in groups} == {
        "a": ("smaller", "may_shrink"),
        "b": ("moved too far by rounding", "rounding"),
        "c": ("not the ease that was wanted", "ease"),
        "d": ("not a number of its multiple", "multiple"),
        "e": ("a step unlike the others", "may_jump"),
    }


@pytest.mark.parametrize("what", ["ease", "rounding", "multiple"])
def test_what_was_settled_in_a_size_is_not_noticed_there_and_nowhere_else_kept_silent(what):
    wanted = measured(compares_to="bust", ease=["2 in", "6 in"], tolerance="0 in")
    entry = value(
        "c", list=["40.1 in", "44.1 in", "48.1 in"], measured=wanted,
        round={"to": "nearest", "multiple": "1 in"},
    )  # fmt: skip
    begins = {"ease": "The ease", "rounding": "Rounding", "multiple": "The entry"}
    sizes = {key: sizes_of(graded(entry, home_units="in"), begin) for key, begin in begins.items()}
    assert all(sizes.values()), sizes
    first = sizes[what][0]
    row = {"what": what, "sizes": [first], "why": "It is meant so."}
    after = graded({**entry, "settled": [row]}, home_units="in")
    for key, begin in begins.items():
        left = [size for size in sizes[key] if key != what or size != first]
        assert sizes_of(after, begin) == left


def sizes_of(of, begin):
    return [size for size, _, says in found(of, "values.c") if says.startswith(begin)]


def test_a_settled_size_that_there_is_not_and_a_missing_reason_are_refused():
    for row, says in (
        ({"what": "ease", "sizes": ["9X"], "why": "So."}, "“9X” is not one of the sizes."),
        ({"what": "ease", "sizes": ["S"], "why": " "}, "Write why it is right"),
    ):
        with pytest.raises(PatternFileError, match=says) as refused:
            graded(value("c", "bust", settled=[row]))
        assert refused.value.path == "$.values[0].settled[0]"
