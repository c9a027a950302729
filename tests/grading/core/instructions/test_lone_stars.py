"""Stars from which nothing is repeated, and repeats from a star that stands nowhere."""

import pytest

from grading.core.instructions.lone_stars import lone_stars
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file

NO_STAR = "“From *” is said, and no star shows where the repeat begins: set one."
NO_REPEAT = "A star begins a repeat, and no words say how often: add such as “repeat from * to the end”."


@pytest.mark.parametrize(
    ("steps", "said"),
    [
        (["K3, do not turn, slide the sts; rep from * until the cord is long."], [NO_STAR]),
        (
            ["Row 1: *p2, k2, to last 2 sts, p2.", "Row 2: *k2, p2; rep from * to last 2 sts, k2."],
            [NO_REPEAT],
        ),
        (["Row 1: *p2, k2; rep from * to last 2 sts, p2."], []),
        (["Rnd 1: *sc, ch 1, skip 1 st* around."], []),
        (["Row 1: *p2, k2.", "Repeat from * to the end."], []),
        (["*Work the cap.", "Sew it. Now repeat from * for the other sleeve."], []),
        (["Knit 4 rows. *See the notes on gauge."], []),
        (["Use the **larger** needle."], []),
    ],
)
def test_a_star_and_its_repeat_belong_together(steps, said):
    pattern = read_pattern(pattern_file(sections=[{"title": "Back", "steps": steps}]))
    assert [one.says for one in lone_stars(pattern)] == said
