"""Seams, parts for one choice and yarns: what a pattern has and no step tells, and the other way round."""

import pytest

from tests.grading.core.sheets import found, graded

SIDES = [{"name": "side", "from": 2, "to": 3}, {"name": "cap", "from": 3, "to": 4}]
OUTLINE = [["0 cm", "0 cm"], ["20 cm", "0 cm"], ["20 cm", "10 cm"], ["0 cm", "10 cm"]]
PIECES = [
    {"name": name, "label": name.capitalize(), "outline": OUTLINE, "sides": SIDES}
    for name in ("body", "sleeve")
]
SET_IN = {
    "name": "set_in",
    "label": "Cap of the sleeve",
    "edges": [{"edge": "sleeve.cap"}],
    "onto": [{"edge": "body.cap"}],
    "ease": ["0 cm", "2 cm"],
}
SEAM = {
    "name": "sides",
    "label": "Side seam",
    "edges": [{"edge": "body.side"}],
    "onto": [{"edge": "sleeve.side"}],
}
WORKED_ON = {**SEAM, "name": "on", "label": "Sleeve below the body"}
UNTOLD = "no step says how this is joined. Add it to the instructions."


def noticed(where, *steps, **more):
    sections = [{"title": "Making up", "steps": list(steps)}]
    return [says for _, _, says in found(graded(sections=sections, **more), where)]


@pytest.mark.parametrize(
    ("join", "steps", "said"),
    [
        (SET_IN, ["Sew the sides.", "Weave in the ends of the sleeve."], [f"“Cap of the sleeve”: {UNTOLD}"]),
        (SET_IN, ["Set in the sleeves."], []),
        (SET_IN, ["Pin the cap in place. Sew it with backstitch along the caps."], []),
        (SEAM, ["Sew on the buttons."], [f"“Side seam”: {UNTOLD}"]),
        (SEAM, ["Join the sides with mattress stitch."], []),
        (WORKED_ON, ["Knit it."], []),
        (SET_IN, [], []),
    ],
)
def test_a_seam_that_no_step_tells_is_found(join, steps, said):
    assert noticed(f"joins.{join['name']}", *steps, pieces=PIECES, joins=[join]) == said


BELT = {"name": "belt", "label": "Belt", "choices": ["with", "without"], "default": "with"}
PART = {
    "name": "Belt",
    "fabric": "main",
    "worked": "4 stitches * 9 rows",
    "colour": "A",
    "when": {"belt": "with"},
}


@pytest.mark.parametrize(
    ("step", "count"),
    [
        ("Belt: cast on 4 sts.", 1),
        ("::: when belt=with\nBelt: cast on 4 sts.\n:::", 0),
        ('::: when belt="with"\nBelt: cast on 4 sts.\n:::', 0),
    ],
)
def test_a_part_for_one_choice_asks_for_a_step_of_that_choice(step, count):
    said = noticed("options.belt", step, options=[BELT], yarn_sections=[PART])
    asked = (
        "The yarn of “Belt” is counted for a choice of “Belt” alone, and no step depends on it. "
        "Say at its section or step for which choice it is."
    )
    assert said == count * [asked]


YARNS = [{"colour": "A", "label": "Larkmoss Harbour"}, {"colour": "B", "label": "Larkmoss Harbour"}]


@pytest.mark.parametrize(
    ("step", "letters"),
    [
        ("Change to D. Knit 2 rows with B.", ["D"]),
        ("With C and A knit.", ["C"]),
        ("Join A, cut B; switch to C in row 3.", ["C"]),
        ("With the larger hook and A knit; change to B.", []),
        ("Continue with M and L alike.", []),
        ("Work with A-line shaping, yarn at the back.", []),
    ],
)
def test_a_yarn_that_a_step_speaks_of_must_be_there(step, letters):
    said = noticed("sections[0].steps[0]", step, yarns=YARNS, sizes=["S", "M", "L"])
    told = [f"This step speaks of yarn {letter}; the yarns are A, B." for letter in letters]
    assert [one for one in said if "speaks of yarn" in one] == told


@pytest.mark.parametrize(
    ("step", "said"),
    [
        ("Fold with right sides together and join the halves.", [f"“Side seam”: {UNTOLD}"]),
        ("Sew the sides of the pocket to the front.", [f"“Side seam”: {UNTOLD}"]),
        ("With right sides together sew the side seams.", []),
    ],
)
def test_sides_of_the_fabric_and_of_a_pocket_are_no_side_seams(step, said):
    assert noticed("joins.sides", step, pieces=PIECES, joins=[SEAM]) == said
