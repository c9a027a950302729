"""Rows that can be read but have no count, as it depends on words that can't be; rows that are described."""

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def audited(*steps, after=(), craft="knitting"):
    sections = [{"title": "Border", "steps": list(steps)}]
    sections += [{"title": "Finishing", "steps": list(after)}] if after else []
    pattern = read_pattern(pattern_file(sizes=["M"], craft=craft, sections=sections))
    return audit_pattern(facts_of(pattern, grade(pattern)))


UNREAD = "Wimple the next row loosely over 5 sts."
ON_BORDER = "it depends on “Border”, step 2, which can’t be read"


@pytest.mark.parametrize(
    "step",
    ["Bind off all sts loosely.", "Knit 3 rows.", "Work even to the end.", "K to the end.", "Knit 1 row."],
)
def test_a_row_after_words_that_cannot_be_read_stays_and_names_the_step(step):
    line = audited("Cast on 40 sts.", UNREAD, step)[-1]
    assert (line.step, line.verdict, line.sizes[0].audited.says) == (2, "unreadable", ON_BORDER)
    assert line.sizes[0].audited.depends_on == ("Border", 2)


def test_the_next_section_depends_on_it_as_well():
    line = audited("Cast on 40 sts.", UNREAD, after=["Bind off all sts loosely."])[-1]
    assert (line.section, line.sizes[0].audited.says) == (1, ON_BORDER)


def test_nothing_depends_on_it_where_the_count_is_told_again_or_begins_anew():
    told = audited("Cast on 40 sts.", UNREAD, "Wimple again. (30 sts)", "Bind off all sts loosely.")
    assert told[-1].verdict == "agrees"
    anew = audited("Cast on 40 sts.", UNREAD, after=["Cast on 8 sts.", "Knit 3 rows."])
    assert [line.verdict for line in anew if line.section == 1] == ["agrees", "agrees"]


def test_the_words_that_cannot_be_read_say_so_themselves():
    unread = audited("Cast on 40 sts.", UNREAD, "Frimple 5 sts.")
    assert [line.sizes[0].audited.depends_on for line in unread] == [None, None, None]


@pytest.mark.parametrize(
    ("row", "change"),
    [
        ("The increase row, worked only where the next step says so: k2, m1, k to last 2 sts, m1, k2.", 2),
        ("The decrease row, worked only where the next step says so: k2tog, k to last 2 sts, ssk.", -2),
        ("The increase row, worked only where the next step says so: *k1, m1; repeat from * to the end.", 40),
    ],
)  # fmt: skip
def test_a_described_row_says_what_it_changes_and_is_not_worked(row, change):
    line = audited("Cast on 40 sts.", row)[-1]
    assert (line.verdict, line.sizes[0].change, line.sizes[0].stitches) == ("agrees", change, 40)


@pytest.mark.parametrize(
    "row",
    [
        "Round 1: ch 1, 1 sc in each ch, join.",
        "Row 5: ch 1, 1 sc in each st, turn.",
        "Row 5: ch 1, *1 sc in next st, ch 1, skip next st; repeat from * to end, turn.",
        "Last row: ch 6, turn, 1 sc in 2nd ch from hook and in each ch, 1 sc in each st to the end, turn.",
    ],
)
def test_the_chain_of_a_row_over_stitches_that_are_not_known_is_no_foundation(row):
    line = audited("Ch 40.", UNREAD, row, craft="crochet")[-1]
    assert (line.verdict, line.sizes[0].stitches) == ("unreadable", None)
    assert line.sizes[0].audited.depends_on == ("Border", 2)


def test_a_section_whose_first_round_begins_with_a_chain_goes_on_with_the_stitches_before():
    steps = ("Ch 40, join with sl st to form a ring.", "Round 1: ch 1, 1 sc in each ch, join. (40 sts)")
    after = ["Round 1: ch 1, 1 sc in each st, join. (40 sts)", "Round 2: ch 1, 1 sc in each st. (41 sts)"]
    lines = audited(*steps, after=after, craft="crochet")
    assert [line.verdict for line in lines] == ["agrees", "agrees", "agrees", "disagrees"]
    assert lines[-1].sizes[0].audited.says == "says 41, worked 40"
