"""What verdicts rest on, in small calls made by hand: lone sizes, slopes, gauges that nobody sent."""

import json

import numpy as np
import pytest

from catalogue.site.benches.simulated_calls import Making, simulate_call
from testing.assessment.evidence import Evidence
from testing.assessment.gathering import SentGarment, gather, read_assessed_sheet
from testing.assessment.results_files import read_results
from testing.assessment.verdicts import _drawn_to_zero, assess
from tests.testing.builders import vest_document

pytestmark = pytest.mark.any_database

PLANNED_MM, TOLERANCE_MM = 1000.0, 10.0
# How far each reading of the tape is off, in parts of the usual stray; drawn once, then kept.
STRAYS = np.array([-1, 1, 0.3, -0.6, 0.8, -0.9, 0.1, -0.4, 0, 0.2])


def verdict_on(sizes, off_mm, *, others_off_mm=(), hangs_on_gauge=False, missing_gauge=False):
    """The verdict on one measurement; a second one, which is right, may tell of tapes and fabrics."""
    off = np.array([off_mm, others_off_mm]) if len(others_off_mm) else np.array([off_mm])
    shape = off.T.shape
    found = assess(
        Evidence(
            size=np.asarray(sizes, dtype=np.int64),
            measured=PLANNED_MM + off.T,
            expected=np.full(shape, PLANNED_MM),
            planned=np.full((max(sizes) + 1, shape[1]), PLANNED_MM),
            sensitivity=np.full((*shape, 1), -1.0 if hangs_on_gauge else 0.0),
            tolerance=np.full(shape[1], TOLERANCE_MM),
            around=np.zeros(shape[1], dtype=bool),
            swapped=np.full(shape, np.nan),
            known_factor=np.full((shape[0], 1), np.nan),
            grain=np.zeros(shape[1]),
            confirmed=np.zeros(shape, dtype=bool),
            missing_gauge=np.full((shape[0], 1), missing_gauge),
        )
    )
    return found.verdicts[0]


def lone_size_off(by_mm, testers):
    """Four sizes by two testers that are right, and one size by some testers that is off."""
    sizes = [0, 0, 1, 1, 2, 2, 3, 3, *[4] * testers]
    tape = 12 * STRAYS[: len(sizes)]
    off = [*tape[:8], *[by_mm + stray for stray in tape[8:]]]
    return verdict_on(sizes, off, others_off_mm=np.roll(tape, 3))


def test_one_tester_alone_must_be_surer_of_a_size_than_two():
    alone = lone_size_off(36, testers=1)
    assert alone.likely == "sizes"
    assert 0.75 < alone.probability < 0.94  # sure enough for two testers, not for one
    assert alone.verdict == "undecided"
    two = lone_size_off(36, testers=2)
    assert (two.verdict, two.sizes) == ("sizes", (4,))
    plain = lone_size_off(60, testers=1)
    assert (plain.verdict, plain.sizes) == ("sizes", (4,))


@pytest.mark.parametrize(
    ("errors_mm", "named"),
    [
        ([0, 4, 8, 12, 16, 20], (2, 3, 4, 5)),
        ([-8, -4, 0, 4, 8, 12], (0, 4, 5)),
        ([20, 16, 12, 8, 4, 0], (0, 1, 2, 3)),
    ],
)
def test_a_slope_names_the_sizes_that_it_moves_by_half_the_tolerance_or_more(errors_mm, named):
    sizes = np.repeat(np.arange(6), 3)
    found = verdict_on(sizes, [error + stray for error in errors_mm for stray in (-2, 0, 2)])
    assert (found.verdict, found.sizes) == ("slope", named)
    assert found.error == pytest.approx(errors_mm, abs=0.5)


def test_a_gauge_that_nobody_sent_widens_every_interval():
    sizes, off = [0, 0, 1, 1, 2, 2], [3, -2, 1, 0, 2, -3]
    sent = verdict_on(sizes, off, hangs_on_gauge=True)
    missing = verdict_on(sizes, off, hangs_on_gauge=True, missing_gauge=True)
    assert ((missing.high - missing.low) > 2 * (sent.high - sent.low)).all()
    assert (sent.verdict, missing.verdict) == ("holds", "undecided")


def test_a_garment_without_a_swatch_is_known_to_be_without():
    sent = read_results(
        json.dumps(
            {"format": "evenrow-results", "format_version": 1, "pattern": vest_document(), "results": []}
        )
    )
    sheet = read_assessed_sheet(sent.ground, sent.lines)
    assert sheet.gauges == (("main", "stitches"), ("main", "rows"), ("rib", "stitches"), ("rib", "rows"))
    garments = [
        SentGarment("Wren", 0, {}, {"chest": 900.0}),
        SentGarment("Moss", 0, {"main": {"stitches": 0.2}}, {"chest": 900.0}),
    ]
    assert gather(sheet, garments).missing_gauge.tolist() == [[True] * 4, [False, True, True, True]]


def test_an_error_next_to_nothing_is_drawn_to_zero_without_overflow():
    """Kept is 1 - (half the interval ÷ error)², and nothing while the interval holds 0."""
    error = np.array([1e-200, 0.0, 4.0, -4.0, np.nan])
    spread = np.array([1.0, 1.0, 1.0, 4.0, 1.0])
    with np.errstate(all="raise"):
        drawn = _drawn_to_zero(error, spread)
    half = 1.6449  # the 95 % point of the standard normal distribution, from tables
    assert drawn == pytest.approx([0, 0, 4 * (1 - (half / 4) ** 2), 0, np.nan], abs=1e-3, nan_ok=True)


def test_garments_are_as_far_off_as_the_error_that_is_told_of_them():
    call, _ = simulate_call(112, Making())  # three lines are off: the rounds alone lag by 18 mm
    sent = read_results(json.dumps(call))
    evidence = gather(read_assessed_sheet(sent.ground, sent.lines), sent.garments)
    made = assess(evidence)
    off = evidence.measured - made.predicted
    for doubt in made.doubts:
        off[doubt.tester, doubt.measurement] = np.nan
    shifts = [column for column, one in enumerate(made.verdicts) if one.verdict == "shift"]
    assert len(shifts) == 3
    for column in shifts:
        assert np.nanmean(off[:, column]) == pytest.approx(made.verdicts[column].error.mean(), abs=2)
