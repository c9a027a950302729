"""A left-hand edition exchanges all sides of marked sentences, or is refused with the place."""

from dataclasses import replace

import pytest

from catalogue.editions.choices import left_hand_problem, left_hand_words
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.instructions.steps import render_step
from grading.core.pattern.file import read_pattern
from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.printing.edition import PrintForm


def tunisian(step):
    return read_pattern(
        {
            "format": "evenrow-pattern",
            "format_version": 1,
            "title": "Bank scarf",
            "craft": "tunisian",
            "home_units": "cm",
            "home_terms": "US",
            "sizes": ["one"],
            "sections": [{"title": "Edge", "steps": [step]}],
        }
    )


def printed(step, hand, wording=None):
    pattern = tunisian(step)
    if wording:
        pattern = replace(pattern, wording=wording)
    edition = PrintForm("cm", "US", None, hand)
    return " ".join(part.text for part in render_step(step, facts_of(pattern, grade(pattern)), edition))


@pytest.mark.parametrize(
    ("step", "word"),
    [
        ("At the {side start} leave the last 3 sts.", "last"),
        ("At the {side start} of the left front.", "left"),
        ("Mark the {side end} and the beginning of it.", "beginning"),
    ],
)
def test_a_sentence_that_is_half_marked_is_refused_with_its_place(step, word):
    says = left_hand_problem(tunisian(step))
    assert (says or "").startswith(
        f"There is no left-hand edition yet. Edge, step 1: “{word}” is not exchanged"
    )


@pytest.mark.parametrize(
    "step",
    [
        "At the {side start} leave the {side last} 3 sts.",
        "At the {side start}, right side facing. Leave the last 3 sts.",
        "At the {side start} of right-side rows, over the last rows.",
    ],
)
def test_a_sentence_that_is_wholly_marked_is_exchanged(step):
    assert left_hand_problem(tunisian(step)) is None


def test_buttonholes_that_would_change_fronts_are_refused():
    moved = tunisian("Work 4 rows. In row 3 on the {side right} front make 5 buttonholes.")
    assert left_hand_problem(moved) == (
        "There is no left-hand edition yet. Edge, step 1: A left-hand edition would put the buttonholes on "
        "the other side: write right instead of {side right}, and count their places from the hem."
    )
    assert left_hand_problem(replace(moved, wording=2)) is None
    kept = "Join at the {side right} front. On the right front, 2 sts above the hem, make 5 buttonholes."
    assert left_hand_problem(tunisian(kept)) is None


def test_what_was_frozen_before_keeps_its_edition():
    pattern = replace(tunisian("At the start of the row."), wording=FIRST_WORDING)
    assert left_hand_problem(pattern) is None


def test_first_and_last_change_places_for_the_left_hand():
    step = "Leave the {side last} 3 sts at the {side end}."
    assert printed(step, "right") == "Leave the last 3 sts at the end."
    assert printed(step, "left") == "Leave the first 3 sts at the start."


def test_advice_to_exchange_is_left_out_of_the_edition_that_has_done_it():
    step = "Left-handed makers: exchange left and right. Work the band."
    assert printed(step, "right") == step
    assert printed(step, "left") == "Work the band."
    assert printed(step, "left", FIRST_WORDING) == step
    assert printed("Left-handers: read start for end.", "left") == ""


def test_only_parts_that_are_called_left_or_right_change_sides():
    def words(step):
        steps = [{"title": "Edge", "steps": [step]}]
        return left_hand_words({"pattern": {"craft": "crochet", "sections": steps}})

    assert "change sides" not in words("1 dc in the front loop of each st to the shoulder.")
    assert words("Sew the right front to the left sleeve.").endswith(
        " Sleeves and fronts change sides with it."
    )
