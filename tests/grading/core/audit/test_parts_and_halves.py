"""Sentences about parts of the work: rings, halves, holders, sections taken up again."""

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value


def lines_of(craft, *sections, **parts):
    titled = [
        {"title": f"Part {i}" if len(sections) > 1 else "Back", "steps": [s]} for i, s in enumerate(sections)
    ]
    pattern = read_pattern(pattern_file(craft=craft, sections=titled, **parts))
    return audit_pattern(facts_of(pattern, grade(pattern)))


def ends_with(craft, *sections, **parts):
    """Stitches and rows after the last line; every line before it must come out."""
    lines = lines_of(craft, *sections, **parts)
    assert [(line.text, line.verdict) for line in lines if line.verdict != "agrees"] == []
    return lines[-1].sizes[0].stitches, lines[-1].sizes[0].rows


CHAIN = "Ch 41. Row 1: sc in 2nd ch from hook and in each ch across. "


@pytest.mark.parametrize(
    ("craft", "text", "stitches"),
    [
        ("crochet", "Ch 30, join with sl st to form a ring. Rnd 1: ch 1, sc in each ch around, join.", 30),
        ("crochet", "Chain 30 and close with a sl st to a ring. Rnd 1: ch 1, 1 sc in each ch.", 30),
        ("crochet", "Ch 5, join to form a ring. Rnd 1: ch 1, 12 sc in ring, join. (12 sc)", 12),
        ("knitting", "Cast on 36 sts and join to a round; mark the beginning of the round.", 36),
        ("knitting", "Cast on 36 sts. K8, put the next 6 sts on a holder, cast on 2 sts, k22.", 32),
        ("crochet", CHAIN + "Row 2: ch 1, leave the first 4 sts unworked, sc in each st across. (36 sc)", 36),
        ("crochet", f"{CHAIN}Row 2: 10 sc, leave the next 6 sts free, ch 4 (counts as 4 sts), 24 sc.", 38),
        ("knitting", "Put the 14 sts of a thumb on the needle. K14, pick up 2 sts along the gap.", 16),
        ("knitting", "Cast on 21 sts. *K1, p1; repeat from * to the end, k1 if one st remains. (21 sts)", 21),
        ("knitting", "Cast on 20 sts. *K1, p1; repeat from * to the end, k1 if one st remains. (20 sts)", 20),
    ],
)  # fmt: skip
def test_parts_of_a_row_are_counted(craft, text, stitches):
    assert ends_with(craft, text)[0] == stitches


def test_what_is_worked_into_a_closed_chain_must_be_said():
    line = lines_of("crochet", "Ch 6, join with sl st to form a ring. Rnd 1: ch 1, 10 sc, join.")[-1]
    assert line.verdict == "unreadable"
    assert "ring or into its chains" in line.sizes[0].audited.says


def test_chains_that_count_as_so_many_of_a_value_count_in_each_size():
    row = "Row 2: 10 sc, skip 6 sts, ch {gap} (counts as {gap} sts), 24 sc."
    gap = value("gap", kind="stitches", list=[7])
    assert ends_with("crochet", CHAIN + row, sizes=["S"], values=[gap])[0] == 41


@pytest.mark.parametrize(
    ("text", "rows"),
    [
        ("Cast on 20 sts. Set-up row, not counted: knit. Row 1: purl.", 1),
        ("Cast on 20 sts. Work 6 rows in garter stitch (knit every row).", 6),
        ("Cast on 20 sts. Work 6 rows in stockinette (knit on RS, purl on WS).", 6),
        ("Cast on 20 sts. Cuff: work 6 rounds of rib: *k1, p1; rep from * to end.", 6),
        (
            "Cast on 20 sts. Work 6 rows of rib. Knit 8 rows above the ribbing; mark both ends.",
            14,
        ),
    ],
)
def test_rows_are_counted(text, rows):
    assert ends_with("knitting", text) == (20, rows)


def test_rows_in_all_of_a_part_are_not_taken_for_those_of_the_piece():
    lines = lines_of("knitting", "Cast on 20 sts. Knit 30 rows. Work 8 rows in all of rib.")
    assert lines[-1].verdict == "unreadable"


HALF = "Cast on 40 sts. Work on with the first 12 sts only. K2tog, k to end. Join on the sts that were left."


def test_each_side_of_a_row_that_is_parted_is_counted():
    assert ends_with("knitting", HALF + " Knit 2 rows. (28 sts)")[0] == 28
    assert lines_of("knitting", HALF + " Knit 2 rows. (27 sts)")[-1].verdict == "disagrees"


BACK = (
    "Cast on 40 sts. Knit 20 rows, mark both ends for the armholes. K2tog, k to last 2 sts, ssk. Knit 9 rows."
)


@pytest.mark.parametrize(
    ("words", "stitches", "rows"),
    [
        ("Work as part 0 to the markers.", 40, 20),
        ("Work the same as part 0 with its armholes until there are 6 rows above the markers.", 38, 26),
    ],
)
def test_a_section_is_worked_as_another_as_far_as_its_markers(words, stitches, rows):
    lines = lines_of("knitting", BACK, words.replace("part 0", "the part 0"))
    assert (lines[-1].sizes[0].stitches, lines[-1].sizes[0].rows) == (stitches, rows)


def test_where_the_count_changes_between_two_sentences_it_is_not_known():
    curve = {"name": "neck", "width": 6, "depth": 12, "shape": "straight"}
    back = "Cast on 40 sts. Knit 20 rows. {neck at start} Knit 4 rows."
    lines = lines_of("knitting", back, "Work as the part 0 until there are 25 rows.", curves=[curve])
    assert (lines[-1].verdict, lines[-1].sizes[0].stitches) == ("unreadable", None)


def test_a_shaping_of_a_part_does_not_begin_with_all_stitches():
    gusset = {"name": "gusset", "from": 1, "to": 7, "over": 6, "each": 2, "on_every": 1, "rounds": True}
    steps = "Cast on 30 sts. Knit 3 rounds. {gusset} These are 2 sts on the gusset. Knit 1 round. (36 sts)"
    assert ends_with("knitting", steps, shapings=[gusset])[0] == 36


@pytest.mark.parametrize(
    "words",
    [
        "A decrease row begins and ends with ssk.", "Each increase round starts with kfb.",
        "Work the other rows in garter stitch.", "From here on work in stockinette stitch.",
        "Work 20 rows in garter stitch with these decrease rows:",
    ],
)  # fmt: skip
def test_words_about_rows_change_no_count(words):
    assert ends_with("knitting", f"Cast on 20 sts. Knit 3 rows. {words} Knit 1 row. (20 sts)") == (20, 4)
