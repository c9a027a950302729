"""Size tables as text and back, into patterns and back, without losing anything."""

from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grading.core.sizes.tables import RULES, SizeTable, TableMeasurement, number_of, numbers_mm
from grading.sizes.bodies import read_bodies
from grading.sizes.table_reading import measurement_name, read_size_table, size_table_rows
from grading.sizes.tables import published_tables, with_table
from grading.tables.files import read_text
from grading.tables.number_cells import NotANumber, header_unit, read_cell
from grading.tables.quoting import csv_text
from tests.grading.core.sheets import graded, pattern_file, value

NUMBERS = st.integers(0, 10_000_000).map(lambda thousandths: thousandths / 1000)
ENTRIES = st.one_of(st.none(), NUMBERS, st.tuples(NUMBERS, NUMBERS).map(lambda two: (min(two), max(two))))
LABELS = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Z"]), min_size=1, max_size=12)


@st.composite
def tables(draw: st.DrawFn) -> SizeTable:
    """A table with labels of any letters, ranges, numbers and empty cells."""
    sizes = draw(
        st.lists(LABELS.filter(lambda one: one.casefold() not in {"unit", "units"}), min_size=1, max_size=6,
                 unique_by=str.casefold)
    )  # fmt: skip
    names = draw(st.lists(st.sampled_from(["bust", "hip", "waist", "upper_arm"]), min_size=1, unique=True))
    labels = {one.name: one.label for one in published_tables()["yarn-woman"].measurements}
    measurements = tuple(
        TableMeasurement(name, labels[name], tuple(draw(ENTRIES) for _ in sizes)) for name in names
    )
    return SizeTable("Own", draw(st.sampled_from(["cm", "in"])), tuple(sizes), measurements)


@settings(deadline=None, max_examples=150)
@given(tables())
def test_a_table_written_as_csv_reads_back_whole(table: SizeTable) -> None:
    read = read_size_table(read_text(csv_text(size_table_rows(table))), name="Own", unit=table.unit)
    # A range from a number to itself is that number.
    flat = tuple(
        TableMeasurement(one.name, one.label, tuple(_flat(entry) for entry in one.entries))
        for one in table.measurements
    )
    assert read.problems == []
    assert read.table is not None
    assert read.table.sizes == table.sizes
    got = tuple(
        TableMeasurement(one.name, one.label, tuple(_flat(entry) for entry in one.entries))
        for one in read.table.measurements
    )
    assert got == flat


def _flat(entry):
    return entry[0] if isinstance(entry, tuple) and entry[0] == entry[1] else entry


@settings(deadline=None, max_examples=60)
@given(tables(), st.sampled_from(sorted(RULES)))
def test_a_table_written_into_a_pattern_keeps_its_numbers_and_its_unit(table: SizeTable, rule: Any) -> None:
    document = pattern_file(value("x", kind="ratio", list=[1] * len(table.sizes)), sizes=list(table.sizes))
    document["body"] = {}
    names = [one.name for one in table.measurements]
    body = with_table(document, table, rule, list(table.sizes), names)["body"]
    for one in table.measurements:
        assert body[one.name]["values"] == [number_of(entry, rule) for entry in one.entries]
        assert body[one.name]["unit"] == table.unit


def test_inches_in_a_pattern_are_exact_millimetres_in_the_calculation() -> None:
    table = published_tables()["yarn-woman"]
    sizes = list(table.sizes)
    document = pattern_file(value("chest", "bust"), sizes=sizes)
    body = with_table(document, table, "middle", sizes, ["bust"])["body"]
    found = graded(value("chest", "bust"), sizes=sizes, body=body).values["chest"].worked
    assert found.tolist() == pytest.approx(list(numbers_mm(table, table.measurements[0], "middle")), abs=1e-9)


def test_sizes_without_a_partner_keep_their_number() -> None:
    table = SizeTable("Own", "cm", ("S",), (TableMeasurement("bust", "Bust", (85.0,)),))
    body = with_table(pattern_file(), table, "middle", ["S", "", ""], ["bust"])["body"]
    assert body["bust"]["values"] == [85, 90, 100]


@pytest.mark.parametrize(
    ("label", "name"),
    [
        ("Bust girth", "bust"),
        ("UPPER ARM", "upper_arm"),
        ("upper_arm", "upper_arm"),
        ("Nape to waist", "nape_to_waist"),
        ("3rd rib", "m_3rd_rib"),
        ("Floor", "floor_girth"),
        ("גובה", "measurement"),
    ],
)
def test_names_are_made_from_labels(label: str, name: str) -> None:
    assert measurement_name(label)[0] == name


def test_heads_with_units() -> None:
    assert header_unit("bust (cm)") == ("bust", "cm")
    assert header_unit("bust [inches]") == ("bust", "in")
    assert header_unit("bust") == ("bust", None)


@pytest.mark.parametrize("cell", ["abc", "1,5", "1.2.3", "--3", "1e5", "٣", "½½", "16 5/4", "-"])
def test_what_is_no_number(cell: str) -> None:
    with pytest.raises(NotANumber):
        read_cell(cell)


def test_bodies_in_several_units() -> None:
    table = published_tables()["yarn-woman"]
    raw = read_text("who\tbust\thip\nunit\tin\tcm\na\t40\t100\nb\t\t90 cm\n")
    read = read_bodies(raw, table, "cm")
    assert read.bodies_mm == {"bust": [1016.0, None], "hip": [1000.0, 900.0]}
    assert read.notes == ["“who” is not a measurement of the table and is left out."]
    assert read_bodies(read_text("bust (in)\n40"), table, "cm").bodies_mm == {"bust": [1016.0]}
