"""Graded patterns are written down and read back to the last bit."""

import json
from pathlib import Path

import numpy as np
import pytest

from grading.core.grade.grade import grade
from grading.core.grade.written import read_graded, write_graded
from grading.core.pattern.file import read_pattern

ROOT = Path(__file__).resolve().parents[4]
GARMENTS = sorted((ROOT / "tests/data/garments").glob("*.json"))
SAMPLES = sorted((ROOT / "catalogue/site/demo").glob("*.json"))


@pytest.mark.parametrize("path", [*SAMPLES, *GARMENTS], ids=lambda path: path.stem)
def test_what_is_read_back_is_the_same_to_the_last_bit(path):
    graded = grade(read_pattern(json.loads(path.read_text())))
    text = write_graded(graded)
    again = read_graded(graded.pattern, text)
    assert write_graded(again) == text
    assert again.as_json() == graded.as_json()
    for name, value in graded.values.items():
        for part in ("exact", "worked", "ideal"):
            one, other = getattr(value, part), getattr(again.values[name], part)
            assert one.dtype == other.dtype
            assert one.tobytes() == other.tobytes()
    for name, corners in graded.pieces.items():
        assert np.array_equal(corners, again.pieces[name], equal_nan=True)
    assert np.array_equal(again.calculation.exact, graded.calculation.exact, equal_nan=True)


def test_nothing_but_parts_of_results_is_ever_made_of_a_text():
    graded = grade(read_pattern(json.loads(SAMPLES[0].read_text())))
    written = json.loads(write_graded(graded))
    for wrong in (
        {**written, "findings": ["PatternFile", []]},
        {"values": 1},
        {**written, "yarn": ["map", 3]},
    ):
        with pytest.raises(ValueError, match="This is no graded pattern"):
            read_graded(graded.pattern, json.dumps(wrong))
