"""Pieces that are joined fit, mirrored pieces mirror, and what is left is what the words say is left."""

import pytest

from grading.core.audit.patterns import PatternAudit, audit_pattern, audit_step
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def facts(*sections, craft="knitting", **parts):
    titled = [{"title": title, "steps": list(steps)} for title, *steps in sections]
    pattern = read_pattern(pattern_file(craft=craft, sections=titled, **parts))
    return facts_of(pattern, grade(pattern))


def wrong(*sections, **parts):
    """What is wrong, in the order of the pattern."""
    return [
        counted.audited.says
        for line in audit_pattern(facts(*sections, **parts))
        for counted in line.sizes[:1]
        if counted.audited and counted.verdict == "disagrees"
    ]


BACK = ("Back", "Cast on 60 sts. Knit 40 rows, mark both ends for the armholes. Work 30 more rows.")
FRONT = ("Front", "Cast on 60 sts. Knit 40 rows, mark both ends for the armholes. Work 30 more rows.")


def front(old, new):
    return ("Front", FRONT[1].replace(old, new))


SIDES = [
    "Sew the side seams.", "Join the shoulders and the sides; the rows match one to one.",
    "Seam the sides from the hem to the markers.", "Sew the sides and sleeves.",
    "Sew side and sleeve seams.", "Join the side seams with mattress stitch.",
]  # fmt: skip


@pytest.mark.parametrize("sewn", SIDES)
def test_sides_that_are_sewn_have_as_many_rows(sewn):
    assert wrong(BACK, FRONT, ("Making up", sewn)) == []
    assert wrong(BACK, front("40 rows", "42 rows"), ("Making up", sewn)) == [
        "the side of the back has 40 rows, that of the front 42"
    ]


@pytest.mark.parametrize(
    "sewn",
    [
        "Sew the side seams, leaving the lower edges open for a vent.",
        "Sew on the pocket round three sides.",
        "Join the yarn at the side seam.",
        "Sew the sides of the pocket.",
    ],
)
def test_other_seams_ask_for_no_equal_rows(sewn):
    assert wrong(BACK, front("40 rows", "42 rows"), ("Making up", sewn)) == []


def test_where_no_marker_is_set_whole_sides_are_compared():
    pieces = [("Back", "Cast on 60 sts. Knit 40 rows."), ("Front", "Cast on 60 sts. Knit 44 rows.")]
    assert wrong(*pieces, ("Making up", "Sew the side seams."))[0].endswith(
        "has 40 rows, that of the front 44"
    )


def test_a_marker_is_where_the_sentence_sets_it_and_not_where_the_sentence_ends():
    mark = (
        "Work until there are 40 rows, mark both edges for the armholes, and go on until there are 70 rows."
    )
    other = f"Cast on 60 sts. {mark}"
    assert wrong(BACK, ("Front", other), ("Making up", "Sew the sides.")) == []
    assert wrong(BACK, ("Front", other.replace("40", "38")), ("Making up", "Sew the sides.")) != []


def test_a_row_count_that_is_not_known_is_not_compared():
    other = ("Front", "Cast on 60 sts. Work as charted until the piece fits. (60 sts)")
    assert wrong(BACK, other, ("Making up", "Sew the side seams.")) == []


def test_shoulders_that_are_joined_have_as_many_stitches():
    back = ("Back", BACK[1] + " The middle 20 sts are the neck; 20 sts on each side are a shoulder.")
    half = ("Left front", "Cast on 30 sts. Knit 70 rows. K10, bind off 10 sts, k to end.")
    assert (
        wrong(back, ("Left front", "Cast on 20 sts. Knit 70 rows."), ("Making up", "Sew the shoulder seams."))
        == []
    )
    assert wrong(back, half, ("Making up", "Sew the shoulder seams.")) == []
    assert wrong(
        back, ("Left front", "Cast on 21 sts. Knit 70 rows."), ("Making up", "Join the shoulders.")
    ) == ["a shoulder of the back has 20 sts, that of the left front 21"]


LEFT = ("Left front", "Cast on 30 sts. Knit 40 rows. K2tog, k to end. Knit 20 rows.")


def right(old, new):
    return ("Right front", LEFT[1].replace("K2tog, k to end", "K to last 2 sts, ssk").replace(old, new))


@pytest.mark.parametrize(
    ("old", "new", "says"),
    [
        ("30 sts", "30 sts", []),
        ("20 rows", "21 rows", []),
        ("30 sts", "32 sts", ["the left front ends with 29 sts, the right front with 31"]),
        ("20 rows", "24 rows", ["the left front has 61 rows, the right front 65"]),
    ],
)
def test_left_and_right_mirror(old, new, says):
    assert wrong(LEFT, right(old, new)) == says


def test_a_mirrored_piece_ends_with_the_section_and_not_with_a_step_that_is_typed():
    known = facts(
        LEFT, ("Right front", "Cast on 30 sts.", "Knit 40 rows. K to last 2 sts, ssk. Knit 20 rows.")
    )
    whole = PatternAudit(known)
    assert {line.verdict for line in whole.lines()} == {"agrees"}
    assert [line.verdict for line in audit_step(known, whole, 1, 0)] == ["agrees"]


def test_work_that_is_never_turned_has_its_curves_on_opposite_sides():
    curve = {"name": "neck", "width": 5, "depth": 5, "shape": "straight"}

    def piece(side, at):
        return (
            f"{side} front",
            f"Ch 30. Row 1: pick up a loop in each ch from the second on, return. (30 sts) {{neck at {at}}}",
        )

    parts = {"craft": "tunisian", "curves": [curve]}
    assert wrong(piece("Left", "start"), piece("Right", "end"), **parts) == []
    assert wrong(piece("Left", "start"), piece("Right", "start"), **parts) == [
        "neck is at the start of the rows of both the left front and the right front"
    ]


OPTION = [{"name": "hem", "label": "Hem", "choices": ["rib", "plain"], "default": "rib"}]


def test_pieces_are_compared_with_the_same_options():
    hem = "::: when hem={}\nKnit {} rows.\n:::\n"
    steps = hem.format("rib", 10) + hem.format("plain", 4)
    piece = ("Cast on 60 sts.", steps)
    making = ("Making up", "Sew the side seams.")
    assert wrong(("Back", *piece), ("Front", *piece), making, options=OPTION) == []
    short = ("Front", "Cast on 60 sts.", steps.replace("10", "8"))
    assert wrong(("Back", *piece), short, making, options=OPTION) == [
        "the side of the back has 10 rows, that of the front 8"
    ]


@pytest.mark.parametrize(
    "last",
    [
        "Place the remaining 20 sts on a holder.", "Cut the yarn and draw it through the 20 sts that remain.",
        "Break yarn and thread through remaining 20 sts.", "Break yarn, draw it through the rem 20 sts.",
        "Fold it in half and join the 10 sts of one half to the 10 sts of the other.",
        "Fold in half; join the 10 sts of one half to the 10 sts of the other half.",
    ],
)  # fmt: skip
def test_what_is_left_at_the_end_is_what_the_words_say(last):
    assert wrong(("Hat", "Cast on 20 sts. Knit 10 rows.", last)) == []
    assert wrong(("Hat", "Cast on 22 sts. Knit 10 rows.", last)) == ["says 20 sts, worked 22"]


def test_stitches_that_wait_elsewhere_are_not_those_that_remain():
    row = "K18, turn and leave rem 22 sts unworked. Place the remaining 22 sts on a holder."
    assert wrong(("Front", f"Cast on 40 sts. {row}")) == []
    neck = "K12, bind off 16 sts, k to end. Place the remaining 12 sts on a holder."
    assert wrong(("Front", f"Cast on 40 sts. {neck}")) == []


@pytest.mark.parametrize("rows", ["as many rows as on the back", "the same number of rows as the back"])
def test_a_piece_that_ends_with_another_has_not_more_rows_already(rows):
    end = f"Bind off when there are {rows}."
    assert (
        wrong(("Back", "Cast on 20 sts. Knit 30 rows."), ("Front", "Cast on 20 sts. Knit 28 rows.", end))
        == []
    )
    assert wrong(
        ("Back", "Cast on 20 sts. Knit 30 rows."), ("Front", "Cast on 20 sts. Knit 32 rows.", end)
    ) == ["the back has 30 rows, here are 32 already"]
