"""Rows that are described by a name and worked by the shaping after them, and chains over skipped stitches.

Source: common practice of patterns; the counts are worked out by hand beside them.
"""

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value
from tests.present import present

TAPER = {"name": "taper", "from": "wide", "to": "narrow", "over": 40, "each": 2, "on_every": 2}
NAMED = {**TAPER, "words": "work a decrease row"}


def verdicts(*steps, craft="knitting", shaping=TAPER):
    """The verdict and the words of every line of one section."""
    data = pattern_file(
        value("wide", kind="stitches", list=[40]),
        value("narrow", kind="stitches", list=[20]),
        value("side_stitches", kind="stitches", list=[9]),
        value("some_rows", kind="rows", list=[12]),
        sizes=["M"],
        craft=craft,
        shapings=[shaping],
        sections=[{"title": "Back", "steps": list(steps)}],
    )
    pattern = read_pattern(data)
    lines = audit_pattern(facts_of(pattern, grade(pattern)))
    return [(line.verdict, present(line.sizes[0].audited).says) for line in lines]


@pytest.mark.parametrize("head", ["Raglan: ", "Raglan, counting from the next row: ", ""])
@pytest.mark.parametrize("name", ["Decrease row (RS)", "Raglan decrease row", "Dec row"])
def test_a_named_row_before_its_shaping_is_not_worked_by_itself(name, head):
    """40 stitches come to 20 by the shaping; worked once more they would be 18."""
    row = f"{name}: k2, k2tog, knit to last 4 sts, ssk, k2. (2 sts decreased)"
    assert {
        verdict for verdict, _ in verdicts("Cast on {wide} sts.", row, f"{head}{{taper}} ({{narrow}} sts)")
    } == {"agrees"}


def test_a_named_row_that_the_shaping_counts_on_from_is_worked():
    """42 stitches and one decrease row are 40, with which the shaping begins."""
    row = "Decrease row (RS): k2, k2tog, knit to last 4 sts, ssk, k2. (40 sts)"
    assert {verdict for verdict, _ in verdicts("Cast on 42 sts.", row, "{taper} ({narrow} sts)")} == {
        "agrees"
    }


def test_a_named_row_that_decreases_at_one_end_is_not_that_of_a_shaping_by_two():
    row = "Decrease row (RS), worked only where stated: k2, k2tog, knit to end. (1 st decreased)"
    says = "it changes 2 sts at a time, and the row that is described changes 1"
    assert ("disagrees", says) in verdicts(
        "Cast on {wide} sts.", row, "{taper} ({narrow} sts)", shaping=NAMED
    )


def test_a_named_row_of_increases_that_decreases_is_found():
    row = "Hood increase row, worked only where stated: k2, k2tog, knit to last 4 sts, ssk, k2."
    assert ("disagrees", "it is called a row of increases, and takes away 2 sts") in verdicts(
        "Cast on {wide} sts.", row, "{taper} ({narrow} sts)"
    )


ROUND = "Rnd 2: ch 1, hdc in next 10 sts, ch 4, skip next 20 sts, hdc in last 10 sts, join."
FIRST = "Ch 40, join with a sl st to the first ch. Rnd 1: ch 1, hdc in each ch around, join. (40 sts)"


@pytest.mark.parametrize(("said", "verdict"), [(24, "agrees"), (20, "agrees"), (25, "disagrees")])
def test_chains_over_skipped_stitches_may_be_counted_with_the_stitches(said, verdict):
    """10 and 10 stitches and 4 chains: 20 or 24."""
    assert verdicts(FIRST, f"{ROUND} ({said} sts)", craft="crochet")[-1][0] == verdict


def test_the_round_after_is_worked_over_stitches_and_chains():
    next_round = "Rnd 3: ch 1, hdc in each st and in each ch around, join. (24 sts)"
    assert verdicts(FIRST, f"{ROUND} (24 sts)", next_round, craft="crochet")[-1] == ("agrees", "")


CONTINUED = (
    "Join A, change to the larger needles and continue in stockinette stitch, starting with a purl row,"
)
HELD = "K11, slip the next {side_stitches} sts onto a holder"


@pytest.mark.parametrize(
    "words",
    [
        "Work {some_rows} rows of rib as for the back. (40 sts)",
        f"{CONTINUED} for {{some_rows}} rows, so that the next row is a WS row. (40 sts)",
        "Work {some_rows} rows in stockinette stitch, keeping the i-cord edge. (40 sts)",
        f"{HELD}, knit across the {{side_stitches}} sts of one lining, knit to the end. (40 sts)",
    ],
)
def test_rows_in_other_words_keep_their_count(words):
    assert [verdict for verdict, _ in verdicts("Cast on {wide} sts.", words)][-1] == "agrees"


def test_a_lining_of_another_width_changes_the_count():
    """11 of 40 worked, 9 held, 12 come in, and the 20 left: 43."""
    row = f"{HELD}, knit across the 12 sts of one lining, knit to the end."
    assert verdicts("Cast on {wide} sts.", f"{row} (40 sts)")[-1] == ("disagrees", "says 40, worked 43")
