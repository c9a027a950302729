"""Published tables against the values they come from, and what ranges leave out."""

import pytest

from grading.core.sizes.tables import gaps, number_of, numbers_mm, place_in_ranges
from grading.sizes.tables import published_tables, sizes_named
from tests.check_values import check_value, check_values

GROUP = "3-body-tables"
NAMES = {"center_back_neck_to_cuff": "neck_to_cuff", "hips": "hip"}
UNCHECKED = "compare before grading"


def entries(key: str, name: str) -> dict[str, object]:
    table = published_tables()[key]
    measurement = next(one for one in table.measurements if one.name == NAMES.get(name, name))
    listed = [list(entry) if isinstance(entry, tuple) else entry for entry in measurement.entries]
    unit = " years" if key == "yarn-child" else " months"
    return dict(zip((size.removesuffix(unit) for size in table.sizes), listed, strict=True))


@pytest.mark.parametrize(
    "name", [name for name in check_values(GROUP) if name.split("-")[0] in {"woman", "man", "child", "baby"}]
)
def test_the_yarn_trades_tables_are_as_remembered(name: str) -> None:
    wearer, measurement = name.split("-", 1)
    assert entries(f"yarn-{wearer}", measurement) == check_value(GROUP, name)


@pytest.mark.parametrize(("name", "key", "of"), [("en-women", "women", "bust"), ("en-men", "men", "chest")])
def test_the_letter_codes_are_those_of_the_standard(name: str, key: str, of: str) -> None:
    assert entries(f"letter-codes-{key}", of) == check_value(GROUP, name)


def test_childrens_sizes_say_years_and_are_found_without_the_word() -> None:
    table = published_tables()["yarn-child"]
    assert table.sizes[0] == "2 years"
    assert [table.place_of(size) for size in ("2", "4 years", "16", "18", "6 months")] == [
        0,
        1,
        7,
        None,
        None,
    ]
    assert sizes_named(table, "4 to 8 years") == (("4 years", "6 years", "8 years"), "")
    assert sizes_named(table, "4, 12") == (("4 years", "12 years"), "")


def test_every_table_names_its_source_and_says_what_is_from_memory() -> None:
    for key, table in published_tables().items():
        assert table.source
        assert table.edition
        assert UNCHECKED in table.caution.lower(), key


def test_the_womans_bust_ranges_leave_gaps() -> None:
    table = published_tables()["yarn-woman"]
    bust = table.measurements[0]
    wanted = check_value(GROUP, "gap-woman")["gaps_in"]
    assert [[gap.low, gap.high] for gap in gaps(table, bust)] == wanted
    assert place_in_ranges(bust, 31) is None


def test_letter_codes_leave_no_gap_and_a_boundary_is_in_the_larger_size() -> None:
    table = published_tables()["letter-codes-women"]
    bust = table.measurements[0]
    assert gaps(table, bust) == []
    assert table.sizes[place_in_ranges(bust, 90) or 0] == "M"


def test_a_rule_turns_a_range_into_a_number_in_exact_inches() -> None:
    table = published_tables()["yarn-woman"]
    bust = table.measurements[0]
    assert numbers_mm(table, bust, "middle")[0] == 736.6  # 29 in of 25.4 mm
    assert [number_of(bust.entries[0], rule) for rule in ("low", "middle", "high")] == [28, 29, 30]
    assert number_of(None, "middle") is None


def test_heads_are_the_medians_of_the_references() -> None:
    """Medians of boys and girls, in cm; adults: centiles of college players.

    Sources: WHO Child Growth Standards to 4 years, UK90 reference at 8 and 12 years; heplots::FootHead.
    """
    boys_and_girls = {
        "6": (43.3393, 42.2079),
        "12": (46.0637, 44.894),
        "2 years": (48.2536, 47.1845),
        "4 years": (50.2115, 49.3321),
        "8 years": (53.867, 53.008),
        "12 years": (55.126, 54.355),
    }
    expected = {age: sum(both) / 2 for age, both in boys_and_girls.items()}
    expected |= {"adult S": 55.0, "adult M": 57.0, "adult L": 59.755}
    assert entries("heads", "head") == pytest.approx(expected, abs=0.06)
