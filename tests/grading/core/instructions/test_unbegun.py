"""Work that nothing begins or ends, and a tool that is never changed."""

import pytest

from grading.core.instructions.unbegun import unbegun_findings
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


def noticed(*steps, craft="knitting"):
    sections = [{"title": "Body", "steps": list(steps)}]
    return [one.says for one in unbegun_findings(read_pattern(pattern_file(craft=craft, sections=sections)))]


@pytest.mark.parametrize(
    ("steps", "craft", "says"),
    [
        (["Row 1: 1 sc in the second ch from the hook, 1 sc in each ch."], "crochet",
         "A stitch is worked into a chain from the hook, and no chain is told before it"),
        (["Row 1 (RS): k to the end. Bind off."], "knitting",
         "Row 1 is told, and nothing says which stitches it is worked on"),
        (["Cast on 10 sts. Row 1: k. Row 2: p."], "knitting", "No step binds the stitches off"),
        (["With the smaller needle cast on 10 sts. Row 1: k. Bind off."], "knitting",
         "Steps name the smaller needle, and none says where to take the larger one"),
    ],
)  # fmt: skip
def test_what_is_missing_is_noticed(steps, craft, says):
    found = noticed(*steps, craft=craft)
    assert len(found) == 1
    assert found[0].startswith(says)


@pytest.mark.parametrize(
    ("steps", "craft"),
    [
        (["Ch 11. Row 1: 1 sc in the second ch from the hook, 1 sc in each ch."], "crochet"),
        (["Chain to the length of your belt. Row 1: 1 sc in the 2nd ch from the hook."], "crochet"),
        (["Chain as on the back. Row 1: 1 sc in the 2nd ch from the hook."], "crochet"),
        (["Cast on 10 sts. Row 1: k. Bind off."], "knitting"),
        (["Pick up 10 sts along the edge.", "Row 1: k. Bind off."], "knitting"),
        (["Row 1: k across the held sts. Bind off."], "knitting"),
        (["Cast on 10 sts. Row 1: k. Graft the sts."], "knitting"),
        (
            ["With the smaller needle cast on 10 sts. Change to the larger needle. Row 1: k. Bind off."],
            "knitting",
        ),
        (["Cast on 10 sts. Row 1: k. Bind off with a larger needle."], "knitting"),
        (["With the smaller needle cast on 10 sts. Change to 4 mm needles. Row 1: k. Bind off."], "knitting"),
    ],
)
def test_what_is_told_is_not(steps, craft):
    assert noticed(*steps, craft=craft) == []


def test_a_section_goes_on_with_the_stitches_that_the_one_before_leaves():
    row = {"title": "Yoke", "steps": ["Row 1 (RS): k1, ssk, k to the end. Bind off."]}
    for before, is_found in (("Cast on 10 sts. Knit 4 rows.", False), ("Cast on 10 sts. Bind off.", True)):
        sections = [{"title": "Body", "steps": [before]}, row]
        assert bool([*unbegun_findings(read_pattern(pattern_file(sections=sections)))]) is is_found
