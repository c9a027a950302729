"""Which rows are counted, and from where: rows of a fabric, edges, pieces, heads apart, bound-off edges."""

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value


def rows_after(*steps, craft="knitting"):
    """The rows after the last line, which agrees."""
    data = pattern_file(
        value("edge", kind="rows", list=[10]),
        sizes=["M"],
        craft=craft,
        sections=[{"title": "Front", "steps": list(steps)}],
    )
    pattern = read_pattern(data)
    line = audit_pattern(facts_of(pattern, grade(pattern)))[-1]
    assert line.verdict == "agrees", line.sizes[0].audited
    return line.sizes[0].rows


@pytest.mark.parametrize(
    "step",
    [
        "Work 10 rows of garter stitch over all sts.",
        "Work {edge} rows of garter stitch over all sts.",
        "Work in garter stitch over all sts for 10 rows.",
        "Knit 10 rows across all stitches.",
        "Garter stitch for {edge} rows.",
        "Work across all sts for 10 rows.",
        "K2, k to end, then work 9 rows in pattern.",
    ],
)
def test_rows_of_a_fabric_are_as_many_as_the_words_say(step):
    assert rows_after("Cast on 40 sts.", step) == 10


@pytest.mark.parametrize(
    "step",
    [
        "K to the end until there are 10 rows, row 1 counted.",
        "Work until there are 10 rows, including row 1.",
    ],
)
def test_row_1_is_one_of_those_that_are_counted(step):
    assert rows_after("Cast on 40 sts. Row 1: k40.", step) == 10


def test_a_change_before_rows_is_made_once():
    assert rows_after("Cast on 40 sts.", "Inc 1 st at each end, then work 9 rows even. (42 sts)") == 10


PIECE = "Ch 41. Row 1: sc in 2nd ch from hook and in each ch across. (40 sts) Work 9 rows of sc. Fasten off."


@pytest.mark.parametrize(
    ("edge", "rows"),
    [
        ("Front band, row 1: work 50 sc up the front edge, turn. Work 5 rows of sc in all.", 5),
        ("Row 1: right side facing, join yarn, 50 sc evenly along the row ends. Work 4 more rows.", 5),
        ("Edging, round 1: join A at the hem. Work 50 sc evenly along the row ends, join. Work 2 rounds.", 3),
        ("Ties: ch 21. Row 1: sc in 2nd ch from hook and in each ch across. (20 sts) Work 2 more rows.", 3),
    ],
)
def test_rows_are_counted_anew_along_another_edge_and_in_another_piece(edge, rows):
    assert rows_after(PIECE, edge, craft="crochet") == rows


def test_stitches_picked_up_beside_live_ones_belong_to_their_row():
    on = "Row 11: k40, pick up and knit 4 sts along the underarm. (44 sts)"
    assert rows_after("Cast on 40 sts. Knit 10 rows.", on) == 11


@pytest.mark.parametrize(
    "step",
    ["Cast off loosely in rib.", "Bind off all sts.", "Next row: bind off knitwise.", "BO 40 sts loosely."],
)
def test_a_bound_off_edge_is_no_row(step):
    # Common practice: the edge is not counted with the rows, and not measured with them.
    assert rows_after("Cast on 40 sts. Knit 10 rows.", step) == 10


def test_a_bound_off_edge_with_a_number_of_its_own_is_counted_as_it_says():
    assert rows_after("Cast on 40 sts. Knit 10 rows.", "Row 11: bind off all sts.") == 11


def test_stitches_bound_off_within_a_piece_take_their_row():
    assert rows_after("Cast on 40 sts. Knit 10 rows.", "Bind off 4 sts, k to end. (36 sts)") == 11


@pytest.mark.parametrize(
    ("row", "loops"),
    [
        ("pick up a loop in the back bump of each ch from the second on, return.", 20),
        ("pick up a loop in the second ch from the hook and in each ch to the end, return.", 20),
        ("skip the first ch, pick up a loop in each ch across, return.", 20),
        ("pick up a loop in each remaining ch, return.", 20),
        ("pick up a loop in the back bump of each ch, return.", 21),
        ("pick up a loop in every ch to the end, return.", 21),
        ("1 Tss in each ch across, return.", 21),
        ("insert hook in each ch and pull up a loop, return.", 21),
    ],
)
def test_the_loop_on_the_hook_is_beside_those_that_are_picked_up_in_chains(row, loops):
    # Common practice of Tunisian work: 20 chains, the loop on the hook is the first stitch.
    steps = (f"Ch 20. Row 1: {row} ({loops} sts)", "Work 4 rows of Tss.")
    assert rows_after(*steps, craft="tunisian") == 5
    with pytest.raises(AssertionError, match=f"says {41 - loops}, worked {loops}"):
        rows_after(f"Ch 20. Row 1: {row} ({41 - loops} sts)", craft="tunisian")


def test_which_rows_are_meant_is_no_line():
    assert rows_after("Cast on 40 sts. Knit 4 rows.", "Every 2nd row is the second of each two rows.") == 4


TAPER = {"name": "taper", "from": 40, "to": 30, "over": 20, "each": 2, "on_every": 1}


def shaped(*steps):
    """The last line of a section with a shaping over 20 rows, begun on 40 sts after row 1."""
    data = pattern_file(
        value("n", kind="rows", list=[20]),
        value("fewer", kind="rows", list=[18]),
        sizes=["M"],
        craft="knitting",
        shapings=[TAPER],
        sections=[{"title": "Sleeve", "steps": ["Cast on 40 sts. Row 1: k40.", *steps]}],
    )
    pattern = read_pattern(data)
    return audit_pattern(facts_of(pattern, grade(pattern)))[-1].sizes[0]


@pytest.mark.parametrize(
    "lead",
    [
        "Work {n} rows:",
        "Work 20 rows in stockinette stitch:",
        "Work {n} more rows:",
        "Work {n} rows in all:",
        "Work until there are 21 rows:",
        "Change to the larger needle. Work {n} rows:",
    ],
)
def test_rows_told_before_a_shaping_are_those_of_the_shaping(lead):
    after = shaped(f"{lead} {{taper}} (30 sts)")
    assert (after.verdict, after.rows_before, after.rows, after.stitches) == ("agrees", 1, 21, 30)
    assert shaped(f"{lead} {{taper}} (30 sts)", "Work 4 rows.").rows == 25


@pytest.mark.parametrize(
    ("lead", "said"),
    [
        ("Work {fewer} rows:", 18),
        ("Work 18 rows in stockinette stitch:", 18),
        ("Work until there are 25 rows:", 25),
    ],
)
def test_another_number_of_rows_before_a_shaping_is_found(lead, said):
    after = shaped(f"{lead} {{taper}} (30 sts)")
    assert after.verdict == "disagrees"
    assert after.audited.says == f"it is shaped over 20 rows, and the words before it say {said}"


def test_a_round_that_says_which_one_it_is_counts_those_before_it():
    body = "Knit to the marker of the round: the division was the first round, and this is the second."
    assert rows_after("Cast on 40 sts. Join in the round.", body, "Knit 10 rounds.") == 12


def test_rows_that_say_the_same_in_other_sizes_are_one_line():
    steps = ["Cast on 40 sts.", "::: only sizes=S\nKnit 6 rows.\n:::\n::: only sizes=M\nKnit 6 rows.\n:::"]
    data = pattern_file(sizes=["S", "M"], craft="knitting", sections=[{"title": "Band", "steps": steps}])
    pattern = read_pattern(data)
    lines = audit_pattern(facts_of(pattern, grade(pattern)))
    assert [line.text.strip() for line in lines] == ["Cast on 40 sts.", "Knit 6 rows."]
    assert [counted.rows for counted in lines[-1].sizes] == [6, 6]


ROWS_1_AND_2 = "row 1: k40. Row 2: p40."


@pytest.mark.parametrize(
    "steps",
    [
        (f"Work 4 rows: {ROWS_1_AND_2} Repeat rows 1 and 2.",),
        (f"Work 4 rows: {ROWS_1_AND_2} Rows 3 and 4: k40.",),
        (f"Work 4 rows as follows: {ROWS_1_AND_2} Row 3: k40. Row 4: p40.",),
        ("Work 4 rows:\nRow 1: k40.\nRow 2: p40.\nRow 3: k40.\nRow 4: p40.",),
        ("Work 4 rows as follows:", "Row 1: k40. Row 2: p40.", "Rows 3 and 4: k40."),
        ("Work 4 rows as follows: k40.",),
        ("Work the next 4 rows as follows: *k2, p2; repeat from * to end.",),
        ("Work 4 rows as follows:", "Row 1: k40. Row 2: p40.", "These 2 rows form the pattern."),
    ],
)
def test_rows_that_are_led_to_and_written_are_counted_once(steps):
    assert rows_after("Cast on 40 sts.", *steps, "Work 6 rows.") == 10


def test_rows_that_go_on_as_written_are_as_many_as_are_said():
    assert rows_after("Cast on 40 sts.", f"Work 20 rows as follows: {ROWS_1_AND_2} Work 4 rows.") == 24
    assert rows_after("Cast on 40 sts.", f"Work until there are 20 rows: {ROWS_1_AND_2}", "Knit.") == 21
    assert rows_after("Cast on 40 sts.", f"Work 4 rows: {ROWS_1_AND_2}", "Row 5: k40.") == 5


@pytest.mark.parametrize("more", ["Rows 3 to 6: k40.", "Repeat these 2 rows twice."])
def test_more_rows_written_than_are_said_are_found(more):
    with pytest.raises(AssertionError, match="says 4 rows, 6 are written"):
        rows_after("Cast on 40 sts.", f"Work 4 rows: {ROWS_1_AND_2} {more}")


def test_how_rows_go_on_that_change_the_count_is_not_guessed():
    steps = ("Cast on 40 sts.", "Work 4 rows: row 1: k38, k2tog. Row 2: p39.", "Work 4 rows.")
    assert rows_after(*steps) is None


@pytest.mark.parametrize(
    "lead", ["Work 20 rows as follows:", "Work {n} rows as follows.", "Work {n} rows, as follows:"]
)
def test_as_follows_leads_to_a_shaping(lead):
    after = shaped(f"{lead} {{taper}} (30 sts)")
    assert (after.verdict, after.rows_before, after.rows) == ("agrees", 1, 21)
