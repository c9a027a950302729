"""What is said once of the chains that rows begin with holds for the rows of all sections after it."""

import pytest

from grading.core.audit.chain_notes import chain_note
from grading.core.audit.patterns import PatternAudit, audit_pattern, audit_step
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file
from tests.present import present

NOT, IS = (0, False), (1, False)


@pytest.mark.parametrize(
    ("text", "chains"),
    [
        ("The ch 2 at the start of a row or round does not count as a st.", {2: NOT}),
        ("The ch-3 at the beginning of each round counts as the first dc.", {3: IS}),
        ("Ch 2 at beg of row does not count as a st throughout.", {2: NOT}),
        ("Turning chains do not count as stitches.", {2: NOT, 3: NOT, 4: NOT}),
        ("The beginning ch 3 is counted as a stitch unless otherwise stated.", {3: IS}),
        ("The turning ch doesn’t count as a st; work the first hdc in it.", {2: NOT, 3: NOT, 4: NOT}),
        ("Ch 3 (counts as 1 dc), 1 dc in each st to the end.", {}),
        ("Ch 3, counts as first dc, 1 dc in next st.", {}),
        ("The ch 3 at the start of this round counts as 1 dc and the ch 2 after it as a space.", {}),
        ("Count the chains of each row.", {}),
    ],
)  # fmt: skip
def test_a_note_says_which_chains_count(text, chains):
    assert chain_note(text) == chains


def facts(note, *steps):
    sections = [{"title": "Notes", "steps": [note]}, {"title": "Body", "steps": list(steps)}]
    pattern = read_pattern(pattern_file(sizes=["M"], craft="crochet", sections=sections))
    return facts_of(pattern, grade(pattern))


ROWS = ("Ch 21.", "Row 1: 1 hdc in 2nd ch from hook and in each ch, turn. (20 sts)")


NO_STITCH = "The ch 2 at the start of a row does not count as a st."
A_STITCH = "The ch 2 at the start of a row counts as 1 hdc."
NOT_SAID = "it is not said whether the ch 2 at the start counts as a stitch"


@pytest.mark.parametrize(
    ("note", "row", "verdict", "says"),
    [
        (NO_STITCH, "1 hdc in each st, turn. (20 sts)", "agrees", ""),
        (NO_STITCH, "skip first st, 1 hdc in each st, turn. (20 sts)", "disagrees", "says 20, worked 19"),
        (A_STITCH, "1 hdc in each st, turn. (20 sts)", "agrees", ""),
        ("Block the swatch.", "1 hdc in each st, turn. (20 sts)", "unreadable", NOT_SAID),
    ],
)
def test_the_rows_after_a_note_are_worked_by_it(note, row, verdict, says):
    of = facts(note, *ROWS, f"Row 2: ch 2, {row}")
    line = audit_pattern(of)[-1]
    assert (line.verdict, present(line.sizes[0].audited).says) == (verdict, says)
    whole = PatternAudit(of)
    assert list(whole.lines())[-1] == audit_step(of, whole, 1, 2)[-1] == line


def test_a_note_that_is_said_later_holds_from_there():
    lines = audit_pattern(
        facts(
            "Block it.",
            *ROWS,
            "Row 2: ch 2, 1 hdc in each st, turn.",
            NO_STITCH,
            "Row 3: ch 2, 1 hdc in each st.",
        )
    )
    assert [line.verdict for line in lines[-2:]] == ["unreadable", "unreadable"]
    lines = audit_pattern(facts("Block it.", *ROWS, NO_STITCH, "Row 2: ch 2, 1 hdc in each st."))
    assert lines[-1].verdict == "agrees"
