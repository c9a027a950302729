import pytest

from testing.asked.expected import Deviation, ExpectedMeasurement
from testing.verdicts.plots import (
    HEAD_HEIGHT,
    LABEL_WIDTH,
    ROW_HEIGHT,
    Marks,
    draw_plot,
    draw_strip,
    size_width,
)
from testing.verdicts.sentences import VERDICT_WORDS
from tests.present import present

HALF_A_PAGE = 584  # pixels: 76rem less a gap of 2.5rem between two columns, at 1400 px
CHEST = ExpectedMeasurement("chest", "Chest", 20.0)
LENGTH = ExpectedMeasurement("body_length", "Length", 15.0)


def deviation(off_mm, *, size=0, line=CHEST, maker="1"):
    return Deviation(line.name, size, maker, 1000.0 + off_mm, 1000.0, line.tolerance_mm)


def test_longer_lies_above_and_shorter_below_the_middle():
    row = draw_plot([CHEST], ["S", "M"], [deviation(10), deviation(-10, size=1)]).rows[0]
    assert row.dots[0].y < row.middle < row.dots[1].y
    assert row.middle == HEAD_HEIGHT + ROW_HEIGHT / 2


def test_the_band_is_the_tolerance_on_the_rows_own_scale():
    row = draw_plot([CHEST], ["S"], [deviation(20), deviation(-20, maker="2")]).rows[0]
    assert row.dots[0].y == pytest.approx(row.band_top, abs=0.01)
    assert row.dots[1].y == pytest.approx(row.band_top + row.band_height, abs=0.01)
    assert not any(dot.is_beyond for dot in row.dots)


def test_a_far_dot_stays_within_its_row_and_is_marked():
    row = draw_plot([CHEST], ["S"], [deviation(500)]).rows[0]
    assert row.top < row.dots[0].y < row.middle
    assert row.dots[0].is_beyond
    assert len(row.dots[0].points.split()) == 4


def test_marks_at_the_edge_of_a_row_are_clear_of_those_of_the_next():
    """Letters of the scale are 13 high and stand in the middle of their place; a lozenge reaches 6.5."""
    first, second = draw_plot([CHEST, LENGTH], ["S"], [deviation(-500), deviation(500, line=LENGTH)]).rows
    assert second.dots[0].y - first.dots[0].y > 2 * 6.5 + 8
    assert second.ticks[0][1] - first.ticks[-1][1] > 13 + 8


def test_testers_of_one_size_stand_side_by_side_within_their_column():
    dots = (
        draw_plot([CHEST], ["S", "M"], [deviation(1, size=1, maker=str(i)) for i in range(30)]).rows[0].dots
    )
    places = [dot.x for dot in dots]
    assert len(set(places)) == 30
    assert min(places) > LABEL_WIDTH  # S has no result, so M has the first column
    assert max(places) < LABEL_WIDTH + size_width(1)


def test_sizes_without_a_result_are_folded_away_and_named():
    plot = draw_plot([CHEST], ["S", "M", "L"], [deviation(1, size=1)])
    assert [size for size, _ in plot.columns] == ["M"]
    assert plot.folded == ("S", "L")


def test_an_interval_stands_in_the_column_of_its_own_size():
    marks = Marks(intervals={"chest": [None, None, [-5.0, 5.0]]})
    plot = draw_plot([CHEST], ["S", "M", "L"], [deviation(1), deviation(1, size=2)], marks)
    ((x, top, bottom),) = plot.rows[0].intervals
    assert x > plot.columns[0][1]
    assert x < plot.columns[1][1]
    assert top < plot.rows[0].middle < bottom


def test_each_row_has_a_scale_in_round_lengths():
    row = draw_plot([CHEST], ["S"], [deviation(30)]).rows[0]
    assert [mm for mm, _ in row.ticks] == [20.0, 0.0, -20.0]
    assert row.ticks[0][1] == pytest.approx(row.band_top, abs=0.01)  # the tolerance of 2 cm


def test_the_scale_is_round_in_inches_for_who_reads_inches():
    row = draw_plot([CHEST], ["S"], [deviation(30)], Marks(units="in")).rows[0]
    assert [mm / 25.4 for mm, _ in row.ticks] == [1.0, 0.0, -1.0]
    fine = ExpectedMeasurement("x", "X", 2.0)
    row = draw_plot([fine], ["S"], [deviation(1, line=fine)], Marks(units="in")).rows[0]
    assert [mm / 25.4 for mm, _ in row.ticks] == pytest.approx([0.1, 0.0, -0.1])


def test_a_strip_has_one_measurement_and_fits_beside_its_sentence():
    dots = [deviation(1, size=size) for size in range(12)] + [deviation(9, line=LENGTH)]
    strip = present(draw_strip(CHEST, [str(i) for i in range(12)], dots))
    assert [row.line.name for row in strip.rows] == ["chest"]
    assert len(strip.rows[0].dots) == 12
    assert strip.width <= HALF_A_PAGE
    assert draw_strip(CHEST, ["S"], [deviation(9, line=LENGTH)]) is None


def test_measurements_without_a_result_have_no_row():
    plot = draw_plot([CHEST, LENGTH], ["S"], [deviation(1, line=LENGTH)])
    assert [row.line.name for row in plot.rows] == ["body_length"]


def test_a_tolerance_of_nothing_and_no_deviation_can_be_drawn():
    line = ExpectedMeasurement("x", "X", 0.0)
    row = draw_plot([line], ["S"], [deviation(0, line=line)]).rows[0]
    assert row.dots[0].y == row.middle
    assert row.band_height == 0


def test_a_long_label_takes_two_lines_within_its_row():
    line = ExpectedMeasurement("x", "Back width between the armholes, without the edging", 10.0)
    row = draw_plot([line], ["S"], [deviation(1, line=line)]).rows[0]
    assert len(row.labels) == 2
    assert all(row.top < y < row.top + ROW_HEIGHT for _, y in row.labels)
    assert row.labels[0][1] < row.labels[1][1] < row.note_y < row.verdict_y < row.top + ROW_HEIGHT


def test_many_sizes_make_a_wide_picture_and_many_measurements_a_tall_one():
    lines = [ExpectedMeasurement(name, name, 10.0) for name in "abcdefghij"]
    dots = [deviation(1, line=line) for line in lines]
    of_all = [deviation(1, size=size, line=line) for line in lines[:6] for size in range(12)]
    assert draw_plot(lines[:6], [str(i) for i in range(12)], of_all).is_wide
    assert not draw_plot(lines, ["S", "M", "L"], dots).is_wide


def test_every_verdict_fits_into_the_margin():
    """A letter of the picture is about half as wide as it is high (measured on the longest verdict)."""
    assert max(len(words) for words in VERDICT_WORDS.values()) * 13 * 0.5 < LABEL_WIDTH - 4
