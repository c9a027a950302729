"""Measured against expected at a tester's own gauge; expected figures are derived by hand."""

import json
from pathlib import Path

import numpy as np
import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from testing.asked.expected import MeasuredGarment, complete_gauge, deviations, expected_lengths
from testing.asked.figures import Figures

VEST = Path(__file__).resolve().parents[2] / "data" / "testing" / "fernhollow_vest.json"
SAMPLES = Path(__file__).resolve().parents[3] / "catalogue" / "site" / "demo"


def figures_of(path=VEST):
    pattern = read_pattern(path.read_text())
    return Figures(pattern, grade(pattern))


def gauge_over_10cm(main=(20, 28), rib=(22, 30)):
    return {
        "main": {"stitches": main[0] / 100, "rows": main[1] / 100},
        "rib": {"stitches": rib[0] / 100, "rows": rib[1] / 100},
    }


def test_at_the_patterns_gauge_the_pattern_is_expected():
    expected = expected_lengths(figures_of().ground(), gauge_over_10cm())
    assert expected["chest"].tolist() == pytest.approx([900, 1000, 1100])
    # 15 rows at 3 to the cm and 140 at 2.8: 5 + 50 cm (derived)
    assert expected["body_length"][0] == pytest.approx(550)


def test_the_counts_stay_and_the_gauge_is_the_testers():
    expected = expected_lengths(figures_of().ground(), gauge_over_10cm(main=(19, 26), rib=(22, 33)))
    # 200 stitches at 1.9 to the cm = 105.26 cm; 15 / 3.3 + 146 / 2.6 = 60.70 cm (derived)
    assert expected["chest"][1] == pytest.approx(2000 / 1.9)
    assert expected["body_length"][1] == pytest.approx(10 * (15 / 3.3 + 146 / 2.6))


def test_a_missing_gauge_is_the_patterns_and_is_said():
    figures = figures_of()
    sent = {"main": {"stitches": 0.19, "rows": 0.26}}
    full, filled = complete_gauge(figures.ground(), sent)
    assert full["rib"] == {"stitches": 0.22, "rows": 0.30}
    assert filled == [("rib", "stitches"), ("rib", "rows")]
    tester = MeasuredGarment("1", 0, sent, {"chest": 950.0, "body_length": 588.0})
    found = {one.measurement: one for one in deviations(figures.ground(), figures.lines(), [tester])}
    assert found["chest"].missing_gauge == ()
    assert found["body_length"].missing_gauge == ("rib",)


def test_a_wrong_row_count_shows_beyond_tolerance_at_every_gauge_and_right_ones_do_not():
    """The text told makers of size M to work 132 rows where the sheet says 146."""
    figures = figures_of()
    rng = np.random.default_rng(7)
    testers = []
    for maker in range(12):
        size = maker % 3
        stitches, rows = 2.0 * rng.uniform(0.9, 1.1), 2.8 * rng.uniform(0.9, 1.1)
        rib_rows = 3.0 * rng.uniform(0.9, 1.1)
        worked = [140, 132, 152][size]
        made = {
            "chest": 10 * [180, 200, 220][size] / stitches + rng.uniform(-5, 5),
            "body_length": 10 * (15 / rib_rows + worked / rows) + rng.uniform(-5, 5),
        }
        gauge = gauge_over_10cm(main=(10 * stitches, 10 * rows), rib=(22, 10 * rib_rows))
        testers.append(MeasuredGarment(str(maker), size, gauge, made))
    found = deviations(figures.ground(), figures.lines(), testers)
    beyond = {(one.measurement, one.maker) for one in found if one.is_beyond}
    assert beyond == {("body_length", str(maker)) for maker in range(12) if maker % 3 == 1}
    assert len(found) == 24
    assert all(one.off_mm < 0 for one in found if one.is_beyond)


def test_without_the_testers_own_gauge_right_garments_would_look_wrong():
    figures = figures_of()
    tester = MeasuredGarment("1", 1, gauge_over_10cm(main=(18.5, 26)), {"chest": 10 * 200 / 1.85})
    blind = MeasuredGarment("1", 1, {}, dict(tester.lengths_mm))
    lines = figures.lines()
    assert [one.is_beyond for one in deviations(figures.ground(), lines, [tester])] == [False]
    assert [one.is_beyond for one in deviations(figures.ground(), lines, [blind])] == [True]


@pytest.mark.parametrize("path", sorted(SAMPLES.glob("*.json")), ids=lambda path: path.stem)
def test_every_measurement_of_the_samples_is_expected_in_every_size(path):
    figures = figures_of(path)
    ground = figures.ground()
    expected = expected_lengths(ground, {})
    tight = {
        fabric: {"stitches": g["stitches"] * 1.05, "rows": g["rows"] * 1.05}
        for fabric, g in ground.gauge.items()
    }
    smaller = expected_lengths(ground, tight)
    for line in figures.lines():
        worked = figures.graded.values[line.name].exact
        known = np.isfinite(worked)
        assert expected[line.name][known] == pytest.approx(worked[known])
        assert np.all(smaller[line.name][known] <= expected[line.name][known] + 1e-9)
    assert json.loads(path.read_text())["sizes"] == list(figures.pattern.sizes)
