"""A new size is filled from the table that the others come from, and what it lacks is said."""

import pytest

from grading.core.sizes.tables import number_of
from grading.sizes.forms import SizesForm
from grading.sizes.sizes import read_labels
from grading.sizes.tables import published_tables, with_table

pytestmark = pytest.mark.django_db
WOMAN = published_tables()["yarn-woman"]


def begun(sizes):
    header = {"format": "evenrow-pattern", "format_version": 1, "title": "Vest", "craft": "knitting",
              "home_units": "cm", "home_terms": "US", "sizes": sizes}  # fmt: skip
    names = [WOMAN.measurements[0].name, WOMAN.measurements[1].name]
    taken = with_table({**header, "body": {}}, WOMAN, "middle", sizes, names)
    return {**taken, "values": [{"name": "ties", "label": "Ties", "kind": "count", "list": [2] * len(sizes)}]}


def form_of(document, labels, **typed):
    form = SizesForm(
        {"revision": 0, "labels": "\n".join(labels), "groups": "", **typed}, document=document, revision=0
    )
    assert form.is_valid(), form.errors
    return form


def test_a_new_size_takes_the_numbers_of_the_table_that_the_others_have():
    sizes = list(WOMAN.sizes[:3])
    new = WOMAN.sizes[4]
    form = form_of(begun(sizes), [*sizes, new], from_table="on")
    entry = form.document["body"][WOMAN.measurements[0].name]
    assert entry["values"][3] == number_of(WOMAN.measurements[0].entries[4], "middle")
    assert entry["values"][:3] == begun(sizes)["body"][WOMAN.measurements[0].name]["values"]
    assert form.said_when_saved() == [f"Size {new} has no number yet in “Ties”: fill them in on the sheet."]


def test_without_the_table_all_that_is_missing_is_said():
    sizes = list(WOMAN.sizes[:3])
    form = form_of(begun(sizes), [*sizes, "Tall"])
    labels = ", ".join(f"“{one.label}”" for one in WOMAN.measurements[:2])
    assert form.said_when_saved() == [
        f"Size Tall has no number yet in {labels}, “Ties”: fill them in on the sheet."
    ]


def test_a_renamed_size_keeps_its_numbers_and_lacks_nothing():
    sizes = list(WOMAN.sizes[:3])
    assert form_of(begun(sizes), [*sizes[:2], "Tall"]).said_when_saved() == []


def test_a_pattern_with_other_numbers_is_offered_no_table():
    document = begun(list(WOMAN.sizes[:3]))
    for entry in document["body"].values():
        entry["values"] = [number + 0.1 for number in entry["values"]]
    assert "from_table" not in SizesForm(document=document, revision=0).fields


@pytest.mark.parametrize(
    "typed", ["S, M, 2X", "S,M,2X,", "S; M; 2X", "S\nM\n2X\n", "\nS, M, 2X\n", "S\tM\t2X"]
)
def test_sizes_are_typed_one_a_line_or_with_commas(typed):
    assert read_labels(typed) == ["S", "M", "2X"]


def test_in_several_lines_a_comma_belongs_to_its_label():
    assert read_labels("S, short\nS, long") == ["S, short", "S, long"]
