"""Numbers as people type them (common practice: decimal comma, fractions as signs or with a slash)."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from grading.core.formula.typed_numbers import TypedNumberError, read_typed_number, with_point


@pytest.mark.parametrize(
    ("text", "number", "digits", "unit"),
    [
        ("16", 16, "16", ""),
        ("-2,5 cm", Fraction(-5, 2), "-2.5", "cm"),
        ("18 1/2 in", Fraction(37, 2), "18.5", "in"),
        ("18½in", Fraction(37, 2), "18.5", "in"),
        ("¾ yd", Fraction(3, 4), "0.75", "yd"),
        ("1/3", Fraction(1, 3), "0.333333", ""),
        ("12.50 inches", Fraction(25, 2), "12.50", "in"),
        ('38"', 38, "38", "in"),
        ("80 m yarn", 80, "80", "m yarn"),
        ("7 %", 7, "7", "%"),
        ("4 furlongs", 4, "4", "furlongs"),
    ],
)
def test_a_number_is_read_as_it_is_written(text, number, digits, unit):
    typed = read_typed_number(text)
    assert (typed.number, typed.digits, typed.unit) == (number, digits, unit)


@pytest.mark.parametrize(
    "text", ["", "x", "1.2.3", "1e5", "٣", "½½", "16 5/4", "1/0", "--3", "nan", "9" * 90, "18,5 1/2"]
)
def test_what_is_no_number_is_refused(text):
    with pytest.raises(TypedNumberError, match=r"[.]$"):
        read_typed_number(text)


def test_a_comma_before_three_digits_is_not_guessed():
    with pytest.raises(TypedNumberError, match=r"two ways: write 1200 or 1\.200"):
        read_typed_number("1,200 m")
    assert read_typed_number("0,125").digits == "0.125"


@given(st.decimals(0, 99_999, places=3), st.sampled_from([".", ","]), st.sampled_from(["", " cm", "in"]))
def test_decimals_come_back_with_either_mark(number, mark, unit):
    text = f"{number:.2f}".replace(".", mark) + unit
    assert read_typed_number(text).number == Fraction(f"{number:.2f}")


@pytest.mark.parametrize(
    "text", ["bust + 4 cm", "1/2 sleeve", "16", "2.50 cm", "80 m yarn", "M", "", "1,200 m"]
)
def test_other_text_stays_to_the_letter(text):
    assert with_point(text) == text


@pytest.mark.parametrize("typed", ["37-1/2", "37 - 1/2 ", "37–½", "37-½"])
def test_a_hyphen_before_a_fraction_takes_nothing_away_where_no_formula_may_stand(typed):
    assert read_typed_number(typed, is_lone=True).number == Fraction(75, 2)
    assert with_point(typed) == typed
    with pytest.raises(TypedNumberError):
        read_typed_number(typed)
