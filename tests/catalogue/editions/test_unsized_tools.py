"""A pattern that names no size of its needles still says of which kind and length they are."""

import pytest

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import graded_as_frozen
from catalogue.editions.needs import aid_lines
from catalogue.editions.sources import source_of
from tests.catalogue.builders import make_pattern, make_record

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]


def held(pattern, wording=None, **choices):
    """What holds the stitches of a sample without the sizes of its tools."""
    record = make_record(pattern)
    fabrics = {
        key: {part: typed for part, typed in of.items() if part != "tool_mm"}
        for key, of in record["pattern"]["fabrics"].items()
    }
    record = {**record, "pattern": {**record["pattern"], "fabrics": fabrics}}
    record = record if wording is None else {**record, "wording": wording}
    source = source_of(record, graded_as_frozen(record), {**home_choices(record), **choices})
    return [line for line in aid_lines(source) if line.startswith("To hold the stitches: ")]


def test_work_in_the_round_names_circular_needles_and_double_points():
    """Common practice: a yoke of 40 cm at the neck and 80 cm and more below, sleeves narrower than 40 cm."""
    pattern = make_pattern("cinderfell_raglan")
    [line] = held(pattern, sizes="M")
    assert "circular needles of 40 cm and 80 cm, and double-pointed needles" in line
    [inches] = held(pattern, sizes="M", units="in", terms="US")
    assert "circular needles of 16 in and 32 in" in inches


def test_crochet_and_older_wordings_name_none():
    assert held(make_pattern("brackenmere_pullover")) == []
    assert held(make_pattern("cinderfell_raglan"), wording=2) == []
