"""Words about where rows end and from where they are counted: they change no count and hide none."""

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.audit.test_courses import audited
from tests.grading.core.sheets import pattern_file

RIB = "Row 1 (WS): p2, *k2, p2; repeat from * to the end. Row 2 (RS): k2, *p2, k2; repeat from * to the end."


def told(*steps):
    """Verdict, stitches and reason of the last line, each of size M."""
    line = audited(*steps, craft="knitting")[-1].sizes[0]
    return line.verdict, line.stitches, line.audited.says if line.audited else ""


@pytest.mark.parametrize(
    "words",
    [
        "Work 13 rows; the last is a wrong-side row.",
        "Work 13 rows, the last row is a RS row.",
        "Work 3 rows of rib as on the button band.",
        "Work 6 rows in stocking stitch as before.",
        f"{RIB} Repeat these two rows until there are 9 rows; the last is a wrong-side row.",
        "Knit 6 rows, the row of the gathers not counted.",
        "Underarms: knit 2 rows.",
        "Slit: knit 2 rows.",
    ],
)
def test_words_about_ends_and_places_are_read(words):
    assert told("Cast on 42 sts.", words)[:2] == ("agrees", 42)


def test_rows_counted_from_a_place_without_an_account_hide_nothing():
    """How many rows there are is not known; 42 stitches are: 4, and repeats of 3 that leave 2 over."""
    steps = ("Cast on 42 sts.", "Work in stocking stitch until there are 70 rows from the division.")
    assert told(*steps)[0] == "unreadable"
    row = "Row 1 (RS): k4, *k2, p1; repeat from * to the end."
    verdict, _, says = told(*steps, row)
    assert (verdict, says) == ("disagrees", "2 left over")


def test_rows_above_a_part_are_no_count_of_all_rows():
    assert (
        told("Cast on 42 sts.", "Knit 9 rows.", "There are 4 rows above the neckband. Knit 1 row.")[0]
        == "agrees"
    )


SHAPED = (
    "Cast on 40 sts. Knit 10 rows. Cast off 4 sts at the beginning of the next 2 rows. (32 sts) Knit 8 rows.",
    "Cast off.",
)


@pytest.mark.parametrize(
    ("words", "verdict"),
    [
        ("Work as the front until there are 6 rows from the underarm. (32 sts)", "unreadable"),
        ("Work as the front until there are 6 rows from the division. (32 sts)", "unreadable"),
        ("Work as the front for 15 rows. (32 sts)", "agrees"),
        ("Work as the front for 15 rows. (30 sts)", "disagrees"),
    ],
)
def test_rows_of_another_piece_from_a_place_without_an_account_are_not_its_rows_in_all(words, verdict):
    """The front is cast off in the end: 32 stitches are left after 15 of its rows, none at its end."""
    sections = [{"title": "Front", "steps": list(SHAPED)}, {"title": "Back", "steps": [words]}]
    pattern = read_pattern(pattern_file(sections=sections, craft="knitting"))
    line = audit_pattern(facts_of(pattern, grade(pattern)))[-1]
    assert line.sizes[0].verdict == verdict
