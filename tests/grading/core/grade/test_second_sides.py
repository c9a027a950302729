"""Pieces that come in twos: a second that is missing, shaped at the edge of the first, or only reversed."""

import pytest

from grading.core.grade.front_edges import front_edge_findings
from grading.core.grade.second_sides import second_side_findings
from grading.core.pattern.file import read_pattern
from tests.grading.core.sheets import pattern_file

RIGHT_SIDE = "The next row is a right-side row."


def noticed(*sections, **more):
    """What is said of the instructions, with its place."""
    typed = [{"title": title, "steps": list(steps)} for title, *steps in sections]
    pattern = read_pattern(pattern_file(sections=typed, **more))
    found = (*second_side_findings(pattern), *front_edge_findings(pattern))
    return [(one.where, one.says) for one in found]


@pytest.mark.parametrize(
    "titles",
    [
        ("Left front", "Right front"),
        ("Right front (as worn)", "Left front (as worn)"),
        ("First sleeve", "Second sleeve"),
        ("First shoulder", "Second front and shoulder"),
        ("Left and right fronts",),
        ("Left front; make 2 alike",),
        ("Right side facing out",),
        ("Fronts",),
    ],
)
def test_two_pieces_miss_nothing(titles):
    assert noticed(*((title, "Knit 8 rows.") for title in titles)) == []


@pytest.mark.parametrize(
    ("title", "step", "second"),
    [
        ("Left front (as worn)", "Knit.", "right front"),
        ("First sleeve", "Knit.", "second sleeve"),
        ("Right mitten", "Knit.", "left mitten"),
        ("Left front", "Pick up sts along the right front.", "right front"),
        ("Left front", "Work the right front to match.", ""),
        ("First sock", "Knit. Make a second sock.", ""),
        ("First shoulder", "Knit. Repeat for the other shoulder.", ""),
    ],
)
def test_a_piece_without_its_second_is_found(title, step, second):
    side = second.split(" ")[0]
    says = (
        f"“{title}” has no {second} beside it: write how the {side} one is worked, or “make 2” in its title."
    )
    assert noticed((title, step)) == ([("sections[0]", says)] if second else [])


@pytest.mark.parametrize(
    ("steps", "is_found"),
    [
        (["First side of the neck: work on these sts. Fasten off.", "Sew, right side facing."], True),
        (["First side of the neck: work on these sts.", "Second side: join the yarn."], False),
        (["First side of the neck: work on these sts.", "Work the other side in the same way."], False),
        (["First shoulder: knit 4.", "Left shoulder: knit 4."], False),
        (["The first side is knitted."], False),
    ],
)
def test_a_first_side_without_a_second_is_found(steps, is_found):
    noun = "side"
    says = (
        f"The first {noun} is told and the second is not, so its stitches are never worked: add a step that "
        f"begins with “Second {noun}”."
    )
    assert noticed(("Front", *steps)) == ([("sections[0].steps[0]", says)] if is_found else [])


@pytest.mark.parametrize(
    ("step", "words"),
    [
        ("Work as the first, reversing all shapings.", "reversing all shapings"),
        ("Work to match, reversing the neck shaping.", "reversing the neck shaping"),
        ("Knit to the end. Reverse shaping.", "Reverse shaping"),
        ("Knit it with shaping reversed.", "with shaping reversed"),
        ("Neck as on the left front, reversed.", "as on the left front, reversed"),
        ("Work as a mirror image of the first.", "as a mirror image"),
        ("Reverse the shaping: neck at the start of right-side rows.", ""),
        ("Reverse the shaping: {neck at start}", ""),
        ("Read the rows in reverse order.", ""),
    ],
)
def test_shaping_that_is_only_reversed_asks_for_its_edge(step, words):
    says = (
        f"“{words}” leaves it to the maker at which edge: name it, such as “neck at the start of right-side "
        "rows”."
    )
    assert noticed(("Body", step)) == ([("sections[0].steps[0]", says)] if words else [])


@pytest.mark.parametrize(
    ("first", "second", "is_found"),
    [
        ("{neck at end}", "{neck at start}", False),
        ("{neck at end}", "{neck at end}", True),
        ("{neck at end}", "Join with the wrong side facing. {neck at end}", False),
        ("{neck at end}", "Join the yarn at the armhole edge. {neck at end}", False),
        ("{neck at end} {neck at start}", "{neck at end}", False),
    ],
)
def test_mirrored_pieces_are_shaped_at_opposite_ends(first, second, is_found):
    says = (
        "“neck” is worked at the end of the rows here and in {}: one of the two is then shaped at the wrong "
        "edge. Write {{neck at start}} in one of them."
    )
    told = noticed(("Left front", first), ("Right front", second))
    assert told == ([("sections[1].steps[0]", says.format("“Left front”"))] if is_found else [])
    told = noticed(("Front", f"First side: work. {first}", f"Second side: work. {second}"))
    assert told == ([("sections[0].steps[1]", says.format("the first side"))] if is_found else [])


@pytest.mark.parametrize(
    ("title", "step", "edge", "wanted"),
    [
        # As worn, with the right side facing, rows of the left front begin at its side and end at its neck.
        ("Left front", "Neck: {neck at start}", "neck or front edge", "end"),
        ("Right front", "Neck: {neck at end}", "neck or front edge", "start"),
        ("Left front", "Decrease for the V at the beginning of RS rows.", "neck or front edge", "end"),
        ("Right front", "Armhole, at the start of the rows: bind off.", "armhole or side edge", "end"),
        ("Left front", "Neck: {neck at end}", "", ""),
        ("Right front", "Armhole: bind off at the end of the next right-side row.", "", ""),
        ("Left front (as seen)", "Neck: {neck at start}", "", ""),
        ("Left front", "Pick up sts along the left shoulder. Neck: {neck at start}", "", ""),
        ("Left front", "Neck: at the start of wrong-side rows.", "", ""),
        ("Left front", "Neck and armhole at the start of the rows.", "", ""),
        ("Left front", "A V-stitch at the start of the rows.", "", ""),
    ],
)
def test_a_front_is_shaped_at_the_edge_that_it_has_as_worn(title, step, edge, wanted):
    side = title.split(" ")[0].lower()
    told = {"start": "end", "end": "start"}.get(wanted)
    says = (
        f"With the right side facing, the {side} front as worn has its {edge} at the {wanted} of the rows. "
        f"This step says the {told}: was the other front meant?"
    )
    second = "Right front" if side == "left" else "Left front"
    said = noticed((title, RIGHT_SIDE, step), (second, "Knit."))
    assert said == ([("sections[0].steps[1]", says)] if edge else [])


def test_a_front_from_the_top_down_or_without_a_known_side_is_not_judged():
    sections = ("Left front", RIGHT_SIDE, "Neck: {neck at start}"), ("Right front", "Knit.")
    assert noticed(*sections, construction="Knitted flat, top down.") == []
    assert noticed(("Left front", "Neck: {neck at start}"), sections[1]) == []
