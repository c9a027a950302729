"""What the history of an erratum says of a change: nobody's words, which would outlive who is erased."""

from datetime import date

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
