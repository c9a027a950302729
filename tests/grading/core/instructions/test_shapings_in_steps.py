"""A shaping as a step prints it, whose long lists go into a table."""

from dataclasses import replace

from grading.core.grade.grade import grade
from grading.core.instructions.facts import Facts, facts_of
from grading.core.instructions.steps import render_step
from grading.core.pattern.file import read_pattern
from grading.core.pattern.wordings import NEWEST_WORDING
from grading.core.printing.edition import PrintForm
from tests.grading.core.sheets import pattern_file, value

ALL_SIZES = PrintForm()


def test_a_part_that_only_some_sizes_have_had_dashes_in_the_second_wording() -> None:
    """The sizes S1 and S3 are shaped on every 12th and 8th row alone: 5 and 7 times, 60 and 56 rows."""
    (part,) = render_step("{taper}", tapered([50, 52, 54, 56], [60, 62, 56, 66], 2), ALL_SIZES)
    assert part.text.endswith(
        "every 12th (10th, 8th, 8th) row 5 (4, 7, 6) times (50 (48, 54, 52) sts), "
        "then of every – (11th, –, 9th) row – (2, –, 2) times (50 (52, 54, 56) sts)."
    )


def test_sizes_that_have_a_part_and_sizes_that_have_not_are_told_one_by_one() -> None:
    (part,) = render_step("{taper}", tapered([50, 52, 54, 56], [60, 62, 56, 66], NEWEST_WORDING), ALL_SIZES)
    assert "S1: increase 1 st at each end of every 12th row 5 times (50 sts).\n" in part.text
    assert part.text.endswith(
        "S4: increase 1 st at each end of every 8th row 6 times (52 sts), "
        "then of every 9th row twice (56 sts)."
    )


def test_in_a_table_a_part_that_only_some_sizes_have_keeps_its_dashes() -> None:
    ends, rows = [46, 48, 50, 52] * 3 + [46, 48], [60 + i for i in range(14)]
    (part,) = render_step("{taper}", tapered(ends, rows, NEWEST_WORDING), ALL_SIZES)
    assert part.text.endswith("then of every [d] row [e] times ([f] sts).")
    assert next(row.texts for row in part.table if row.key == "d")[:2] == (None, "16th")


def tapered(ends: list[int], rows: list[int], wording: int) -> Facts:
    """Facts of a pattern whose 40 stitches grow to others over so many rows, one size per number."""
    data = pattern_file(
        value("cast_on", kind="stitches", list=[40] * len(ends)),
        value("last", kind="stitches", list=ends),
        value("deep", kind="rows", list=rows),
        shapings=[{"name": "taper", "from": "cast_on", "to": "last", "over": "deep", "each": 2}],
        sections=[{"title": "Body", "steps": ["{taper}"]}],
    )
    sizes = [f"S{number}" for number in range(1, len(ends) + 1)]
    pattern = replace(read_pattern({**data, "sizes": sizes, "body": {}}), wording=wording)
    return facts_of(pattern, grade(pattern))
