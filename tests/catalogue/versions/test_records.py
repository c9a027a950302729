"""Canonical JSON: the same bytes for the same content, on any machine."""

import hashlib
from datetime import UTC, date, datetime, timedelta, timezone
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from catalogue.versions.records import (
    canonical,
    digest_of,
    read_day,
    read_record,
    read_time,
    texts_like_decimals,
    written_time,
)


def test_keys_stand_by_code_point_without_spaces():
    # Z is 90, a is 97, é is 233 in Unicode.
    assert canonical({"é": 1, "a": [True, None], "Z": "x"}) == '{"Z":"x","a":[true,null],"é":1}'


@pytest.mark.parametrize(
    ("number", "text"),
    [
        (0.1, "0.100000"),
        (1 / 3, "0.333333"),
        (2 / 3, "0.666667"),
        (0.0000005, "0.000001"),
        (0.0000004999, "0.000000"),
        (-0.0000005, "-0.000001"),
        (-0.0, "0.000000"),
        (-0.0000001, "0.000000"),
        (1.0000005, "1.000001"),
        (22.0, "22.000000"),
        (1e16, "10000000000000000.000000"),
        (Decimal("2.5"), "2.500000"),
    ],
)
def test_decimals_are_texts_of_six_places_rounded_half_up(number, text):
    # Derived: by hand from the rule.
    assert canonical(number) == f'"{text}"'


def test_whole_numbers_stay_numbers():
    assert canonical({"rows": 61}) == '{"rows":61}'


@pytest.mark.parametrize("number", [float("nan"), float("inf")])
def test_what_is_not_finite_is_never_frozen(number):
    with pytest.raises(ValueError, match="not finite"):
        canonical([number])


def test_the_hash_is_that_of_the_bytes_in_utf_8():
    assert digest_of('{"é":1}') == hashlib.sha256('{"é":1}'.encode()).hexdigest()


SCALARS = st.none() | st.booleans() | st.integers(-(10**9), 10**9) | st.text(alphabet="abcé½ ", max_size=5)
DECIMALS = st.integers(-(10**9), 10**9).map(lambda whole: whole / 64)


@given(
    st.recursive(SCALARS | DECIMALS, lambda inner: st.lists(inner) | st.dictionaries(st.text("ab"), inner))
)
def test_a_record_comes_back_as_it_went_in(value):
    # Sixty-fourths have at most six decimals, so nothing is lost.
    text = canonical({"all": value})
    assert read_record(text) == {"all": value}
    assert canonical(read_record(text)) == text


@given(st.permutations(list({"a": 1, "b": 2.5, "c": "x", "é": None}.items())))
def test_the_order_of_entry_makes_no_difference(items):
    assert canonical(dict(items)) == '{"a":1,"b":"2.500000","c":"x","é":null}'


def test_a_text_that_reads_like_a_frozen_decimal_is_found():
    assert list(texts_like_decimals({"sizes": ["36", "1.000000"], "note": "1.5"})) == ["1.000000"]


def test_times_are_written_in_utc_to_the_second():
    moment = datetime(2026, 3, 1, 1, 30, 5, 999, tzinfo=timezone(timedelta(hours=2)))
    assert written_time(moment) == "2026-02-28T23:30:05Z"
    assert read_time("2026-02-28T23:30:05Z") == datetime(2026, 2, 28, 23, 30, 5, tzinfo=UTC)


def test_a_record_is_of_the_studios_day_and_an_older_one_of_that_of_utc():
    moment = "2026-08-21T23:30:00Z"  # 00:30 of the next day in London, which has summer time
    assert read_day({"frozen_on": moment, "day": "2026-08-22"}) == date(2026, 8, 22)
    assert read_day({"frozen_on": moment}) == date(2026, 8, 21)
