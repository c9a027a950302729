"""What a maker buys for the piece, a step uses; tools need no step."""

import pytest

from grading.core.instructions.unused_notions import unused_notions
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file


@pytest.mark.parametrize(
    ("label", "step", "is_unused"),
    [
        ("buttons", "Weave in the ends.", True),
        ("separating zip", "Sew on the buttons.", True),
        ("buttons", "Make 5 buttonholes. Measure the chest when buttoned.", True),
        ("buttons", "Sew each button opposite its buttonhole.", False),
        ("separating zip", "Pin in the zipper and sew it.", False),
        ("stitch markers", "Weave in the ends.", False),
        ("sewing needle with sewing thread", "Weave in the ends.", False),
    ],
)
def test_a_notion_that_has_its_place_on_the_piece_is_told_in_a_step(label, step, is_unused):
    says = f"The maker needs “{label}”, and no step says where it goes: tell it, or take it out."
    notions, sections = [{"label": label, "count": 1}], [{"title": "Finishing", "steps": [step]}]
    found = unused_notions(read_pattern(pattern_file(notions=notions, sections=sections)))
    assert [(one.where, one.says) for one in found] == [("notions", says)] * is_unused
