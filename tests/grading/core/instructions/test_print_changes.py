"""What an edit changes in print is told by the numbers that print otherwise, and in which sizes."""

from dataclasses import replace
from typing import Any

from grading.core.grade.grade import grade
from grading.core.instructions.facts import Facts, facts_of
from grading.core.instructions.print_changes import PrintChange, print_changes
from grading.core.pattern.pattern import ShapingEntry
from tests.grading.core.instructions.test_typed_numbers import vest


def facts(*steps: str, **lists: Any) -> Facts:
    pattern = vest(*steps, **lists)
    return facts_of(pattern, grade(pattern))


def changed(before: Facts, after: Facts, *names: str) -> list[tuple[str, str, str]]:
    """Return before, after and sizes of each change."""
    found = print_changes(before, after, frozenset(names))
    return [(one.before, one.after, " ".join(one.sizes)) for one in found]


def test_a_number_typed_in_place_of_a_reference_changes_the_sizes_that_had_another():
    before, after = facts("Work {back_rows} rows."), facts("Work 44 rows.")
    assert print_changes(before, after, frozenset()) == [PrintChange("48", "44", ("L",))]
    assert changed(before, facts("Work 40 rows.")) == [("44", "40", "S M"), ("48", "40", "L")]


def test_words_without_another_number_change_none():
    assert changed(facts("Work {back_rows} rows."), facts("Knit {back_rows} rows, then turn.")) == []


def test_numbers_that_come_or_go_are_told():
    before, after = facts("Work {rib_rows} rows."), facts("Work {rib_rows} rows. (50 sts)")
    assert changed(before, after) == [("", "50", "S M L")]
    assert changed(after, before) == [("50", "", "S M L")]
    assert changed(facts(), facts("Ch 2.")) == [("", "2", "S M L")]


def test_steps_that_only_move_change_nothing():
    assert changed(facts("Ch 2.", "Ch 3.", "Ch 3."), facts("Ch 3.", "Ch 2.", "Ch 3.")) == []


def test_numbers_that_change_places_are_told():
    assert changed(facts("Ch 2, skip 3."), facts("Ch 3, skip 2.")) != []


def test_undoing_changes_as_many_numbers_as_the_edit():
    before, after = facts("Ch 2, skip 2, ch 3."), facts("Ch 3, skip 2, ch 4.")
    back = [(new, old, sizes) for old, new, sizes in changed(after, before)]
    assert back == changed(before, after)


def test_another_value_changes_what_steps_print_of_it():
    before, after = facts("Work {back_rows} rows."), facts("Work {back_rows} rows.", back_rows=[44, 46, 48])
    assert changed(before, after, "back_rows") == [("44", "46", "M")]
    assert changed(before, after, "sleeve_rows") == []


def test_a_value_is_told_only_in_the_sizes_that_it_is_printed_for():
    step = "::: only sizes=M..L\nWork {back_rows} rows.\n:::"
    before, after = facts(step), facts(step, back_rows=[40, 40, 40])
    assert changed(before, after, "back_rows") == [("44", "40", "M"), ("48", "40", "L")]


def test_lengths_are_told_as_printed():
    step = "It is {side_length} long."
    after = facts(step, side_length=["39.6 cm", "42 cm", "43 cm"])
    assert changed(facts(step), after, "side_length") == [("41", "42", "M"), ("", "43", "L")]
    inches = replace(after, pattern=replace(after.pattern, home_units="in"))
    assert changed(after, inches, "side_length") == []


def tapered(each: int) -> Facts:
    """Return facts of a vest that is shaped by so many stitches at once."""
    taper = ShapingEntry("taper", "back_stitches", "rib_stitches", "back_rows", each)
    pattern = replace(vest("{taper}"), shapings=(taper,), memo={})
    return facts_of(pattern, grade(pattern))


def test_a_shaping_that_runs_otherwise_is_told():
    assert ("17", "12", "S") in changed(tapered(2), tapered(1), "taper")


def test_sizes_that_are_new_or_gone_are_not_compared():
    before, after = facts("Work 44 rows."), facts("Work 40 rows.")
    fewer = replace(after, pattern=replace(after.pattern, sizes=("M", "L")))
    assert changed(before, fewer) == [("44", "40", "M L")]


def test_long_lists_of_numbers_are_compared_in_their_places():
    numbers = [str(number) for number in range(300)]
    other = ["7" if number == "150" else number for number in numbers]
    assert changed(facts(" ".join(numbers)), facts(" ".join(other))) == [("150", "7", "S M L")]
