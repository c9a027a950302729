"""Around both sides of a starting chain, worked by hand; conventions are common practice."""

import pytest

from grading.core.audit.patterns import audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file
from tests.present import present

AGAIN = "it is not said whether the chain at the end is worked again on the other side"
NOT_KNOWN = "how many chains lie on the other side is not known here"


def last_line(*steps):
    """The verdict of the last line and what it says."""
    sections = [{"title": "Base", "steps": list(steps)}]
    of = grade(read_pattern(pattern_file(sizes=["M"], craft="crochet", home_terms="US", sections=sections)))
    line = audit_pattern(facts_of(of.pattern, of))[-1]
    return line.verdict, present(line.sizes[0].audited).says


ALONG = "sc in 2nd ch from hook, sc in next 7 ch, 3 sc in last ch; working along opposite side of ch, "
EACH = "sc in 2nd ch from hook and in each ch across; working along other side of ch, "
BY_EACH = (
    "sc in 2nd ch from hook, sc in each ch to last ch, 3 sc in last ch, along the other side of the ch, "
)


@pytest.mark.parametrize(
    ("round_1", "verdict", "says"),
    [
        # Ch 10: 9 chains are worked, 1 + 7 + 3 before and at the end, 7 + 2 back over the other 8: 20.
        (ALONG + "sc in next 7 ch, 2 sc in last ch. (20 sc)", "agrees", ""),
        (BY_EACH + "sc in each ch to last ch, 2 sc in last ch. (20 sc)", "agrees", ""),
        # One too few on the way back: 1 + 7 + 3 + 6 + 2 are 19, and a chain is left.
        (ALONG + "sc in next 6 ch, 2 sc in last ch. (20 sc)", "disagrees", "1 left over; says 20, worked 19"),
        # With one stitch in the end both are met with: 9 and 9, or 9 and 8. The numbers tell.
        (EACH + "sc in next 9 ch. (18 sc)", "agrees", ""),
        (EACH + "sc in next 8 ch. (17 sc)", "agrees", ""),
        (EACH + "sc in each ch. (18 sc)", "unreadable", AGAIN),
    ],
)
def test_a_round_goes_along_both_sides_of_a_chain(round_1, verdict, says):
    assert last_line(f"Ch 10. Rnd 1: {round_1}") == (verdict, says)


def test_an_edging_along_the_chain_of_a_finished_piece_is_not_guessed():
    body = "Ch 11. Row 1: sc in 2nd ch from hook and in each ch across. (10 sc)"
    edging = "Edging: sc in each ch on the other side of the foundation ch. (10 sc)"
    assert last_line(body, edging) == ("unreadable", NOT_KNOWN)
