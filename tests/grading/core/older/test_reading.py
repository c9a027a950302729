"""Older patterns read as a whole."""

from decimal import Decimal

import pytest

from grading.core.older.reading import read_older_text
from grading.core.older.texts import read_sections

TEXT = """Larkmoss Moor Pullover

Sizes: XS (S, M, L)
Finished chest: 91 (101, 111, 121) cm / 36 (39¾, 43¾, 47¾) in
Length: 55 (57, 59, 61) cm

GAUGE
18 sts and 24 rows = 10 cm in stockinette, after blocking.

BACK
Cast on 82 (91, 100, 109) sts.
Row 1 (RS): knit. Work 6 rows.
Row 2: purl to
the end.
Next row: bind off 5 (6, 7) sts, then decrease to 72 (81, 90, 99) sts.

Neck
Put 36 (40, 44, 48) sts on hold. 72 (81, 90, 99) sts remain. Then 3 (4, 5, 6) more.
"""


@pytest.fixture(scope="module")
def older():
    return read_older_text(TEXT)


def labelled(older, label):
    return next(one for one in older.candidates if one.label == label)


def test_title_sizes_and_gauge_are_found(older):
    assert older.title == "Larkmoss Moor Pullover"
    assert older.sizes == ("XS", "S", "M", "L")
    assert (older.gauge.stitches, older.gauge.rows, older.gauge.over) == (18, 24, "10 cm")


def test_headings_become_sections_and_a_wrapped_line_goes_on(older):
    assert [section.title for section in older.sections] == ["Notes", "Gauge", "Back", "Neck"]
    assert "Row 2: purl to the end." in older.sections[2].steps


def test_every_word_stays(older):
    kept = " ".join(word for section in older.sections for step in section.steps for word in step.split())
    headings = {"Larkmoss", "Moor", "Pullover", "GAUGE", "BACK", "Neck"}
    assert kept.split() == [word for word in TEXT.split() if word not in headings]


def test_a_length_in_two_units_is_one_candidate(older):
    chest = labelled(older, "Finished chest")
    assert (chest.kind, chest.unit, chest.spots[0].is_in_both) == ("length", "cm", True)
    in_inches = labelled(read_older_text(TEXT, keep="in"), "Finished chest")
    assert (in_inches.unit, in_inches.numbers[1]) == ("in", Decimal("39.75"))


def test_two_units_that_do_not_agree_stay_two():
    text = "Sizes: S (M)\n\nChest: 91 (101) cm / 40 (44) in"
    assert len(read_older_text(text).candidates) == 2


def test_the_same_numbers_are_one_candidate_in_two_places(older):
    assert [spot.section for spot in labelled(older, "Back: decrease, stitches").spots] == [2, 3]


def test_a_list_that_follows_from_another_says_how(older):
    relation = labelled(older, "Back: decrease, stitches").relation
    assert older.candidates[relation.other].label == "Back: cast on, stitches"
    assert (relation.factor, relation.difference) == (1, -10)


def test_stitches_are_compared_with_the_lengths_of_the_text_at_its_gauge(older):
    # 82 stitches at 18 over 10 cm are 45.6 cm, half of 91.
    assert labelled(older, "Back: cast on, stitches").remarks == (
        "at the gauge 45.6, 50.6, 55.6, 60.6 cm",
        "that is half of “Finished chest”",
    )


def test_a_list_with_another_number_of_numbers_stays_as_typed(older):
    (unread,) = older.unread
    assert (unread.text, unread.why) == ("5 (6, 7)", "3 numbers, but 4 sizes")


def test_a_kind_without_a_unit_says_why(older):
    assert older.candidates[-1].why == "no unit is written"
    assert read_older_text("Sizes: S (M)\n\nCh 61 (67).").candidates[0].why == "“Ch” is written before it"


def test_sizes_given_win_over_those_of_the_text():
    assert read_older_text(TEXT, ["A", "B", "C"]).candidates[0].numbers == tuple(map(Decimal, (5, 6, 7)))


def test_a_text_without_sizes_has_no_candidates():
    older = read_older_text("Body\n\nCast on 61 (67) sts.")
    assert (older.sizes, older.candidates) == ((), ())


@pytest.mark.parametrize(
    "text", ["", "\n\n", "Moor", "a" * 200_000, "Sizes:\n" * 20_000, "1 sts and 1 " * 10_000]
)
def test_an_odd_text_is_read_without_an_error(text):
    older = read_older_text(text, ["S", "M"])
    assert sum(len(section.steps) for section in older.sections) >= 0


def test_text_of_pages_without_blank_lines_keeps_its_headings():
    title, sections = read_sections("FRONT\nCast on 20 sts.\nSleeves\nWork as the front\nto the end.")
    assert (title, [section.title for section in sections]) == ("", ["Front", "Sleeves"])
    assert sections[1].steps == ("Work as the front to the end.",)
