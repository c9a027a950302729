from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from testing.access.typed import TypedError, read_count, read_hours, read_length_mm, read_weight_g


# 1 in = 25.4 mm exactly: International Yard and Pound Agreement, 1959.
@pytest.mark.parametrize(
    ("typed", "unit", "length_mm"),
    [
        ("96", "cm", 960.0),
        ("96.5 cm", "in", 965.0),
        ("96,5", "cm", 965.0),
        ("37 1/2", "in", 952.5),
        ("37½", "in", 952.5),
        ("½", "in", 12.7),
        ("3/4 in", "cm", 19.05),
        ('38"', "cm", 965.2),
        ("38 inches", "cm", 965.2),
        ("965 mm", "in", 965.0),
        (" 96 ", "cm", 960.0),
    ],
)
def test_a_length_is_read_as_people_write_it(typed, unit, length_mm):
    assert read_length_mm(typed, unit) == pytest.approx(length_mm)


BAD = [
    "",
    "x",
    "1e308",
    "-5",
    "0",
    "nan",
    "inf",
    "1/0",
    "96 furlongs",
    "\x00",
    "9" * 60,
    "١٢",
    "37 1/2 1/2",
    "1..2",
]


@pytest.mark.parametrize("typed", BAD)
@pytest.mark.parametrize(
    "read", [lambda text: read_length_mm(text, "cm"), read_weight_g, read_count, read_hours]
)
def test_what_is_no_number_is_refused_with_a_sentence(read, typed):
    with pytest.raises(TypedError) as refused:
        read(typed)
    assert str(refused.value).endswith((".", "!"))


def test_too_much_is_refused_with_its_limit():
    with pytest.raises(TypedError, match="more than 5 metres"):
        read_length_mm("960", "in")
    with pytest.raises(TypedError, match="more than 10 kg"):
        read_weight_g("11 kg")


@given(st.text(max_size=60))
def test_whatever_is_typed_is_read_or_refused(typed):
    with suppress(TypedError):
        assert 0 < read_length_mm(typed, "in") <= 5_000


def test_ounces_are_read_as_grams():
    # 1 oz = 28.349523125 g exactly: International Yard and Pound Agreement, 1959.
    assert read_weight_g("11 oz") == pytest.approx(311.844754375)


def test_the_usual_way_to_write_inches_is_read_and_a_word_is_refused_as_it_was_typed():
    assert read_length_mm("37-1/2", "in") == pytest.approx(952.5)
    with pytest.raises(TypedError, match="without “sts”"):
        read_count("18½ sts")
