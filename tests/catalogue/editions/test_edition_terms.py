"""The terms of an edition: replaced in the places that are named, told of wherever they were replaced."""

import pytest

from catalogue.editions.booklet import booklet
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import graded_as_frozen
from catalogue.editions.sources import source_of
from tests.catalogue.builders import edit, make_pattern, make_record, value_of

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]


@pytest.fixture
def printed():
    """A pattern whose labels use terms that its steps do not, printed in UK terms."""
    pattern = make_pattern("puffinbay_child")

    def change(document):
        document["summary"] = "A hat like the Double Treble Cardigan, in dc."
        document["home_terms"] = "US"
        document["abbreviations"] = {"puff": "3 hdc together"}
        document["fabrics"]["main"]["label"] = "Ribs of sc"
        value_of(document, "chest")["measured"]["how"] = "Above the last trtr row; `sl st` stays."
        document["sections"] = [{"title": "Double crochet", "steps": ["Puff in next st, fasten off."]}]

    edit(pattern, change)
    record = make_record(pattern)
    choices = {**home_choices(record), "terms": "UK"}
    return booklet(source_of(record, graded_as_frozen(record), choices))


def test_the_summary_is_in_the_terms_of_the_edition_and_names_and_titles_stay_as_they_were_written(printed):
    assert printed["summary"] == "A hat like the Double Treble Cardigan, in tr."
    assert [section.title for section in printed["instructions"]] == ["Double crochet"]


def test_terms_of_labels_stand_in_the_lists_of_the_edition(printed):
    shorts = dict(entry for half in printed["abbreviation_halves"] for entry in half)
    assert shorts["puff"] == "3 htr together"
    assert {"dc", "htr", "qtr", "st"} <= set(shorts)
    assert {("dc", "sc"), ("qtr", "trtr")} <= set(printed["terms"])
    assert "sl st" not in dict(printed["terms"]).values()


def test_backticks_of_labels_keep_their_words_and_are_not_printed(printed):
    assert "Above the last qtr row; sl st stays." in dict(printed["how_to_measure"]).values()
