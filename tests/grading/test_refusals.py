"""Refused files told by labels: no path of the file stands in the sentence."""

import json

import pytest

from grading.core.formula.errors import PatternFileError
from grading.grid.refusals import KINDS, refusal_in_words
from grading.sheets.documents import PARTS

DOCUMENT = {
    "sizes": ["S", "M"],
    "body": {"bust": {"label": "Bust girth", "unit": "cm", "values": [80, "x"]}},
    "values": [{"name": "back", "label": "Back, stitches", "list": [1, "2 ells"]}, {"name": "Edge"}, 4],
    "yarns": [{"colour": "A", "length_per_100g": "4"}],
    "sections": [{"title": "Cuff", "steps": [4]}],
}


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("$", "Wrong."),
        ("$.craft", "craft: Wrong."),
        ("$.yarn_allowance", "yarn allowance: Wrong."),
        ("$.body.bust.values[1]", "Body measurement “Bust girth”, size M: Wrong."),
        ("$.body.hip.unit", "Body measurement “hip”, unit: Wrong."),
        ("$.values[0].list[1]", "Value “Back, stitches”, size M: Wrong."),
        ("$.values[1].name", "Value “Edge”, name: Wrong."),
        ("$.values[2]", "Value 3: Wrong."),
        ("$.values[9].round.to", "Value 10, round, to: Wrong."),
        ("$.yarns[0].length_per_100g", "Yarn “A”, length per 100g: Wrong."),
        ("$.sections[0].steps[0]", "Section “Cuff”, steps, 1.: Wrong."),
    ],
)
def test_a_refusal_names_the_line_by_its_label(path, words):
    error = PatternFileError(path, "Wrong.")
    assert refusal_in_words(error, DOCUMENT) == words
    assert refusal_in_words(error, json.dumps(DOCUMENT)) == words


@pytest.mark.parametrize("document", ["no JSON", "[]", [], None, {"values": {"a": 1}}, {"values": "abc"}])
def test_a_refusal_is_told_whatever_the_file_is(document):
    assert refusal_in_words(PatternFileError("$.values[0].kind", "Wrong."), document).endswith("kind: Wrong.")


def test_a_place_within_the_reason_is_told_by_its_label_too():
    error = PatternFileError("$.values[1].name", "“back” is here and at $.values[0].name; take another.")
    says = "Value “Edge”, name: “back” is here and at Value “Back, stitches”, name; take another."
    assert refusal_in_words(error, DOCUMENT) == says


def test_every_part_of_a_sheet_has_a_name_for_its_entries():
    assert set(KINDS) >= set(PARTS) - {"sizes"}  # a size is its own label
