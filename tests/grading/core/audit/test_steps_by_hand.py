# ruff: noqa: E501 – one case per line reads best
"""Steps of a pattern whose counts were worked by hand: what is printed by reference, and what other sections say."""

import re
from pathlib import Path

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.audit.sentences import statement_of
from grading.core.audit.statement_kinds import Straight
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file, value

TEMPLATES = Path(__file__).parents[4] / "templates"
SHAPING = {"name": "waist", "from": 40, "to": 32, "over": 8, "each": 2}
NARROWS = {"name": "fall", "from": "gap", "to": 10, "over": 8, "each": 2}
SPREAD = {"name": "ease_in", "change": 5, "in": 40}
BROKEN_SPREAD = {"name": "some", "change": "gap", "in": 40}
CURVE = {"name": "scoop", "width": 10, "depth": 8, "shape": "quarter ellipse"}
BROKEN_CURVE = {"name": "dip", "width": "gap", "depth": 8, "shape": "quarter ellipse"}
PARTS = {
    "shapings": [SHAPING, NARROWS],
    "spreads": [SPREAD, BROKEN_SPREAD],
    "curves": [CURVE, BROKEN_CURVE],
}


def audited(*steps, craft="knitting", back=()):
    """The lines of a section in the one size, and the section “Back” before it."""
    sections = [{"title": "Back", "steps": list(back)}] if back else []
    sections.append({"title": "Front", "steps": list(steps)})
    data = pattern_file(
        value("gap", kind="stitches", list=[None]),
        value("front", kind="stitches", list=[40]),
        value("length_rows", kind="rows", list=[12]),
        sizes=["M"],
        craft=craft,
        sections=sections,
        **PARTS,
    )
    pattern = read_pattern(data)
    return audit_pattern(facts_of(pattern, grade(pattern)))


def last(*steps, **more):
    line = audited(*steps, **more)[-1]
    return line.verdict, line.sizes[0].stitches, line.sizes[0].audited.says


BACK = ("Cast on 40 sts. Row 1: *K1, p1; repeat from * to the end. Row 2: Knit.", "Work 10 rows straight.")


@pytest.mark.parametrize(
    ("steps", "stitches"),
    [
        (["Cast on {front} sts. Knit 4 rows.", "{waist} (32 sts)"], 32),  # 40 to 32
        (["Cast on 40 sts. Row 1: Knit.", "Count the stitches. (40 sts)"], 40),
        (["Cast on 40 sts. Row 1: Knit.", "Count your sts: there are 40 sts on the needle."], 40),
        (["Cast on {front} sts.", "{ease_in} (45 sts)"], 45),  # 40 + 5
        (["Cast on {front} sts.", "{scoop at start} (30 sts)"], 30),  # 40 - 10
        (["Cast on 30 sts.", "{scoop reversed} (40 sts)"], 40),  # 30 + 10
        (["Cast on 40 sts. Work {length_rows} rows straight.", "There are now {length_rows} rows."], 40),
        (
            [
                "Cast on 40 sts.",
                "Work 12 rounds of rib: *k2, p2; repeat from * to the end. There are now 12 rows.",
            ],
            40,
        ),
        (["Cast on 40 sts. Work straight until there are 12 rows.", "There are now 12 rows."], 40),
        (
            [
                "Cast on 40 sts. Row 1: Knit. Row 2: K1, k2tog, k to the end. (39 sts)",
                "Repeat rows 1 and 2 until 36 sts remain. (36 sts)",
            ],
            36,
        ),
        (
            ["Cast on 40 sts. Row 1: K1, k2tog, k to the end.", "Repeat the last row 4 more times. (35 sts)"],
            35,
        ),
        (
            ["Cast on 40 sts.", "Bind off 10 sts, including the st on the needle, k to the end. (30 sts)"],
            30,
        ),  # 40 - 10
        (
            [
                "Cast on 40 sts. Knit.",
                "The middle 10 sts are the neck; 15 sts on each side are the shoulders.",
            ],
            40,
        ),
        (
            [
                "Cast on 40 sts. Knit.",
                "Slip the 20 sts of one sleeve on the larger needle. Knit 2 rows. (20 sts)",
            ],
            20,
        ),
        (["Cast on 40 sts. Knit 3 rounds with A.", "Knit 2 rounds in B. (40 sts)"], 40),
        (["Cast on 40 sts.", "Row 1: cast off 10 sts, k19 more, cast off 10 sts. (20 sts)"], 20),  # 10 + 1 + 19 + 10
        (["Cast on 40 sts. Knit 2 rows.", "Cast off the 40 sts."], 0),
        (["Cast on 40 sts. Knit 2 rows.", "Slip the 40 sts that remain onto a holder for the neck."], 0),
        (["Cast on 40 sts.", "Decrease on RS rows only: k1, ssk, k to the last 3 sts, k2tog, k1. {waist} (32 sts)"], 32),
        (["With RS facing and the smaller needles, pick up and knit 40 sts along the edge.", "Knit 2 rows. (40 sts)"], 40),
        (["Slip the 20 sts of one sleeve onto the larger needle. With A, begin in the middle of the underarm: pick up and knit 4 sts, k20, pick up and knit 4 sts. (28 sts)"], 28),
        (["Cast on 40 sts. Knit 2 rows.", "After 2 rows change to the smaller needle. Work 4 rows of rib: *k1, p1; repeat from * to the end. (40 sts)"], 40),
    ],
)  # fmt: skip
def test_what_comes_out_by_hand_agrees(steps, stitches):
    verdict, now, says = last(*steps)
    assert (verdict, now, says) == ("agrees", stitches, "")


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        (["Cast on 40 sts.", "{waist} (30 sts)"], "says 30, worked 32"),
        (["Cast on 38 sts.", "{waist}"], "begins with 40, there are 38"),
        (["Cast on 38 sts.", "{ease_in}"], "is spread over 40, there are 38"),
        (["Cast on 6 sts.", "{scoop at start}"], "takes 10 of 6 stitches"),
        (["Cast on 40 sts. Work 12 rows straight.", "Work straight until there are 10 rows."], "says 10 rows, 12 are worked already"),
        (["Cast on 40 sts. Work 12 rows straight.", "There are now 14 rows."], "says 14 rows, worked 12"),
        (["Cast on 40 sts. Knit.", "The 30 sts that remain are the neck."], "says 30 sts, worked 40"),
        (["Cast on 40 sts. Knit.", "The middle 10 sts are the neck; 14 sts on each side are the shoulders."], "says 38 sts, worked 40"),
        (["Cast on 41 sts.", "Work 8 rounds of rib: *k1, p1; repeat from * to the end."], "1 left over"),
    ],
)  # fmt: skip
def test_what_does_not_come_out_says_both_numbers(steps, says):
    verdict, _, said = last(*steps)
    assert verdict == "disagrees"
    assert says in said


@pytest.mark.parametrize(
    ("steps", "says"),
    [
        (["Cast on {gap} sts."], "gap"),
        (["Cast on 40 sts. Work {gap} rows straight."], "no value in this size"),
        (["Cast on 40 sts. Knit.", "The {gap} sts that remain are the neck."], "no value in this size"),
        (["Cast on 40 sts. Knit 2 rows.", "There are now {gap} rows."], "no value in this size"),
        (["Cast on 40 sts.", "Slip the {gap} sts of one sleeve on the larger needle."], "no value in this size"),
        (["Cast on 40 sts.", "{fall}"], "fall can't be worked in this size"),
        (["Cast on 40 sts.", "{some}"], "some has no numbers in this size"),
        (["Cast on 40 sts.", "{dip at start}"], "dip can't be worked in this size"),
        (["{ease_in} (45 sts)"], "how many stitches there are is not known"),
        (["Cast on 80 sts.", "{waist}"], "in how many places is not said"),
        (["Cast on 41 sts. Knit.", "Work on the sts before the middle only."], "before the middle"),
        (["Cast on 40 sts.", "Work 8 rounds of rib: *k1, wimple; repeat from * to the end."], "wimple"),
        (["Cast on 40 sts.", "Work as the hood until 4 rows before the end."], "no section “hood”"),
        (["Cast on 40 sts.", "Work row 1 and row 2 as on the hood."], "no section “hood”"),
        (["Cast on 40 sts.", "Knit wimples over 12 sts.", "There are now 14 rows."], "how many rows there are is not known"),
        (["Cast on 40 sts. Row 1: K1, k2tog, k to the end.", "Repeat the last row until 42 sts remain."], "never leaves 42"),
        (["Cast on 40 sts.", "Knit wimples over 12 sts.", "Knit until there are 20 rows."], "depends on"),
        (["Cast on 40 sts.", "K {gap}, p to the end."], "gap"),
        (["Work short rows over 12 sts."], "short rows"),
    ],
)  # fmt: skip
def test_what_says_too_little_is_unreadable_and_says_why(steps, says):
    verdict, _, said = last(*steps)
    assert verdict == "unreadable"
    assert says in said


@pytest.mark.parametrize(
    ("steps", "stitches", "rows"),
    [
        (["Work as the back."], 40, 12),
        (["Work as the back until 4 rows before the end."], 40, 8),
        (["Work as the back, with the markers of the armholes, until 4 rows before the end."], 40, 8),
        (["Work as the back, keeping a marker at each end, for 6 rows."], 40, 6),
        (["Work as the back for 6 rows."], 40, 6),
        (["Work as the back until there are 8 rows."], 40, 8),
        (["Work as the back for 2 rows of rib and 6 rows of stockinette."], 40, 8),
        (["Cast on 20 sts.", "Work row 1 and row 2 as on the back."], 20, 2),
        (["Cast on 20 sts.", "Work row 1 as on the back."], 20, 1),
        (["Cast on 20 sts.", "Work row 1 and the rib as on the back for 2 rows."], 20, 2),
    ],
)
def test_a_section_may_be_worked_as_another(steps, stitches, rows):
    line = audited(*steps, back=BACK)[-1]
    assert (line.verdict, line.sizes[0].stitches, line.sizes[0].rows) == ("agrees", stitches, rows)


def test_a_section_may_be_worked_as_another_to_its_armhole():
    armhole = "Armholes: cast off 5 sts at the beginning of the next 2 rows. (30 sts)"
    above = "Work straight until there are 20 rows above the armhole cast-off."
    lines = audited("Work as the back to the armhole.", back=[*BACK, armhole, above])
    assert [(line.sizes[0].stitches, line.sizes[0].rows) for line in lines[-2:]] == [(30, 32), (40, 12)]


@pytest.mark.parametrize(
    ("step", "says"),
    [
        ("Work row 7 as on the back.", "rows to work are not given"),
        ("Work as the wide old long lost back for 6 rows.", ""),
        ("Work as the back for 6 hours and 6 rows.", ""),
        ("Work as the back, with 2 more sts at the markers, until there are 8 rows.", ""),
        ("Work as the back, with the markers decreased, until there are 8 rows.", ""),
        ("Work as the back for a while, over 40 sts.", ""),
    ],
)
def test_what_another_section_does_not_give_is_unreadable(step, says):
    verdict, _, said = last("Cast on 20 sts.", step, back=BACK)
    assert verdict == "unreadable"
    assert says in said


def test_rows_of_another_section_that_do_not_fit_these_stitches_disagree():
    verdict, _, said = last("Cast on 21 sts.", "Work row 1 as on the back.", back=BACK)
    assert (verdict, said) == ("disagrees", "1 left over")


@pytest.mark.parametrize("text", ["Press the pieces.", "Turn.", "Note for the maker: keep the yarn dry.", "Fasten off.", "Join the shoulders with a loose seam."])  # fmt: skip
def test_what_says_nothing_of_counts_is_no_line(text):
    before = len(audited("Cast on 40 sts."))
    assert len(audited("Cast on 40 sts.", text)) == before


BEGUN = {
    "crochet": "Ch 41. Row 1: Sc in 2nd ch from hook and in each ch across. (40 sc) Work 11 rows straight.",
    "knitting": "Cast on 40 sts. Work 12 rows straight.",
}


@pytest.mark.parametrize("craft", BEGUN)
@pytest.mark.parametrize(
    "words",
    [
        "Work 5 rows more.", "Work 5 more rows.", "Work 5 rows further.", "Work another 5 rows.",
        "Work a further 5 rows.", "Work even for 5 rows.", "Work in garter stitch for 5 rows more.",
        "Continue in pattern for another 5 rows.", "Work even over the next 5 rows.", "Work 17 rows in all.",
        "Continue in pattern for a total of 17 rows.",
    ],
)  # fmt: skip
def test_rows_worked_further_are_all_counted(words, craft):
    """12 + 5 = 17, however it is said; common practice of pattern English."""
    found = audited(BEGUN[craft], words, craft=craft)[-1]
    assert (found.verdict, found.sizes[0].rows) == ("agrees", 17)


def test_what_the_product_shows_as_an_example_of_rows_is_read():
    shown = [
        (path.name, words, int(number))
        for path in TEMPLATES.rglob("*.html")
        for words, number in re.findall(
            r"^(Work (\d+) [^.<{]*\brows\b[^.<{]*\.)$", path.read_text(), re.MULTILINE
        )
    ]
    assert {"step.html", "instructions.html"} <= {name for name, _, _ in shown}
    for name, words, rows in shown:
        assert statement_of(words, "knitting")[0] == (Straight(rows),), (name, words)


ADDED = "Row 2: ch 9, turn, 1 hdc in 2nd ch from hook and in each ch, "


@pytest.mark.parametrize(
    ("steps", "verdict", "stitches", "says"),
    [
        ([ADDED + "1 hdc in each st to the end. (48 sts)"], "agrees", 48, ""),  # 9 - 1 + 40
        ([ADDED + "1 hdc in each st to the last 2 sts, hdc2tog. (47 sts)"], "agrees", 47, ""),
        ([ADDED + "1 hdc in each st to the end. (8 sts more)"], "agrees", 48, ""),
        ([ADDED + "1 hdc in each st to the end. (49 sts)"], "disagrees", 48, "says 49, worked 48"),
        (["Work straight until the shoulder has 6 rows.", "Work 4 rows straight for the other shoulder. (40 sts)"], "agrees", 40, ""),
        (["Work 9 rows straight.", "Work straight until the shoulder has 6 rows. (40 sts)"], "agrees", 40, ""),
    ],
)  # fmt: skip
def test_chains_at_the_start_of_a_row_are_worked_back_along_and_parts_have_rows_of_their_own(
    steps, verdict, stitches, says
):
    foundation = ("Ch 41.", "Row 1: 1 hdc in 2nd ch from hook and in each ch, turn. (40 sts)")
    assert last(*foundation, *steps, craft="crochet") == (verdict, stitches, says)


@pytest.mark.parametrize(
    "joined", ["join without twisting", "join with sl st without a twist", "join with sl st to form a ring"]
)
def test_a_chain_is_joined_to_a_ring_however_it_is_said(joined):
    steps = (f"Ch 40, {joined}.", "Round 1: ch 1, 1 sc in each ch, join. (40 sts)")
    assert last(*steps, craft="crochet") == ("agrees", 40, "")


def test_a_row_that_takes_more_stitches_than_there_are_says_how_many_it_lacks():
    steps = ("Cast on 3 sts. Row 1: Knit.", "Row 2: Decrease 5 sts evenly.")
    assert last(*steps)[2] == "the row needs 2 stitches more than there are"
