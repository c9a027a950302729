"""Lists of numbers as older patterns write them (common practice)."""

from decimal import Decimal

import pytest

from grading.core.older.number_lists import find_number_lists


def read(text):
    return [
        ([str(number) if number is not None else "-" for number in one.readings[0]], one.unit)
        for one in find_number_lists(text)
    ]


@pytest.mark.parametrize(
    ("text", "numbers", "unit"),
    [
        ("Cast on 61 (67, 73, 79) sts.", "61 67 73 79", "stitches"),
        ("ch 61(67,73,79)", "61 67 73 79", ""),
        ("55 (60: 65) [70: 75] cm long", "55 60 65 70 75", "cm"),
        ("21½ (23, 25¼) in wide", "21.5 23 25.25", "in"),
        ('18 1/2 (19 1/4, 20)"', "18.5 19.25 20", "in"),
        ("47,5 (50,5; 53,5) cm", "47.5 50.5 53.5", "cm"),
        ("work 61/67/73 rounds", "61 67 73", "rows"),
        ("55 cm (60 cm, 65 cm)", "55 60 65", "cm"),
        ("repeat 2 (–, 3) times", "2 - 3", "times"),
        ("5 (6 7 8) rows", "5 6 7 8", "rows"),
        ("400 (450, 500) m of yarn", "400 450 500", "m"),
    ],
)
def test_a_list_is_read_with_its_unit(text, numbers, unit):
    assert read(text) == [(numbers.split(), unit)]


@pytest.mark.parametrize(
    "text",
    [
        "Work 6 rows (see the note).",
        "Rows 1, 3 and 5: knit.",
        "k2 (p2, k2) twice",
        "on 4 mm (US 6) needles",
        "(61 sts)",
        "1/2 the sts",
    ],
)
def test_what_is_no_list_is_left_alone(text):
    assert read(text) == []


def test_in_before_a_word_is_no_inch():
    assert read("2 (3, 4) in next st") == [(["2", "3", "4"], "")]


def test_a_comma_that_may_part_or_stand_in_a_number_gives_both_readings():
    (found,) = find_number_lists("1 (2,5, 3) cm")
    assert found.numbers_for(4) == (Decimal(1), Decimal(2), Decimal(5), Decimal(3))
    assert found.numbers_for(3) == (Decimal(1), Decimal("2.5"), Decimal(3))
    assert found.numbers_for(2) is None


def test_thousands_are_not_guessed():
    (found,) = find_number_lists("1,200 (1,300, 1,400) m of yarn")
    assert found.readings == ()


def test_a_list_of_many_groups_has_two_readings_at_most():
    (found,) = find_number_lists("1 " + "(1,2, 3)" * 12)
    assert [len(numbers) for numbers in found.readings] == [37, 25]


@pytest.mark.parametrize(
    "text", ["1 (" * 20_000, "1 (2, " * 20_000, "1/2/" * 20_000, "9" * 100_000, "1 " * 50_000 + "(2)"]
)
def test_a_hostile_text_takes_no_long_time(text):
    assert find_number_lists(text) is not None
