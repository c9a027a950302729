"""What the history of an erratum says of a change: nobody's words, which would outlive who is erased."""

from datetime import date
from importlib import import_module

import pytest

from catalogue.errata.changed_words import change_words
from catalogue.models import Erratum

WORDS = "My mother Ann could not count row 7"


@pytest.mark.parametrize("name", ["says", "should_say", "why", "found_by"])
@pytest.mark.parametrize(("before", "then"), [(WORDS, "14 stitches"), ("14 stitches", WORDS)])
def test_what_somebody_may_have_written_is_named_alone(name, before, then):
    said = change_words(Erratum(**{name: before}), name, then)
    assert said
    assert "Ann" not in said
    assert "14" not in said


def test_choices_and_days_are_told_from_what_to_what():
    erratum = Erratum(gravity="cosmetic", source="test", due_on=None)
    assert change_words(erratum, "gravity", "wrong") == "severity, from cosmetic to wrong"
    assert change_words(erratum, "due_on", date(2026, 5, 3)) == (
        "day to settle it by, from nothing to 3 May 2026"
    )


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("Met again in 1.0: Ann Moss: by letter.", "Met again in 1.0."),
        ("Met again: Ann Moss.", "Met again."),
        ("Met again in 1.0.", "Met again in 1.0."),
        (
            (
                "Changed: why, from nothing to “My; Ann”; day to settle it by, from nothing to 3 May 2026; "
                "found by, from “A” to “A Mo"
            ),
            "Changed: why; day to settle it by, from nothing to 3 May 2026; found by.",
        ),
        ("Changed: why, from “she wrote ”no” Ann” to “x”.", "Changed: why."),
        ("Changed: why, from “A” to “she wrote “no” Ann Moss”.", "Changed: why."),
        ("Changed: what it says, from “Ann; ann moss; wrote", "Changed: what it says."),
        (
            "Changed: severity, from cosmetic to wrong; why, from “Ann",
            "Changed: severity, from cosmetic to wrong; why.",
        ),
        ("Changed: severity, from cosmetic to wrong.", "Changed: severity, from cosmetic to wrong."),
        ("Confirmed as a mistake: yes.", "Confirmed as a mistake: yes."),
    ],
)
def test_histories_of_earlier_times_lose_names_and_words(said, kept):
    earlier = import_module("catalogue.migrations.0030_nameless_histories")
    assert earlier.without_names(said) == kept
