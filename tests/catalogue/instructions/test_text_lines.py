"""The lines of the instructions as one text: read, moved, turned into sections, put together."""

import pytest

from catalogue.instructions.text_lines import (
    UNTITLED,
    Sections,
    TextLine,
    change_lines,
    lines_of,
    read_lines,
    sections_from,
)
from catalogue.instructions.text_merging import MEANWHILE, TAKEN_OUT, TAKEN_OUT_HERE, merge_lines
from catalogue.instructions.text_words import quoted, typed_block
from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_pattern
from tests.builders import sample

SECTIONS: Sections = [
    {"title": "Back", "steps": ["Chain.", "Turn."]},
    {"title": "Hood", "when": {"hood": "yes"}, "steps": ["Pick up."]},
]


def title(text):
    return TextLine("title", text)


def step(text):
    return TextLine("step", text)


def texts(lines):
    return [line.text for line in lines]


def test_sections_become_lines_and_lines_the_same_sections():
    lines = lines_of(SECTIONS)
    assert texts(lines) == ["Back", "Chain.", "Turn.", "Hood", "Pick up."]
    written = sections_from(lines)
    assert written.sections == SECTIONS
    assert (written.titles, written.steps, written.problems) == ((0, 3), ((1, 2), (4,)), ())


def test_fields_are_read_in_the_order_of_their_numbers_not_of_sending():
    sent = {"step-10": "Last.", "when-2": '{"hood": "yes"}', "step-9": "a\r\nb  ", "title-2": " Hood\n x "}
    lines = read_lines({**sent, "step-x": "no", "title-12345": "no", "size": "M"})
    assert lines == [TextLine("title", "Hood x", '{"hood": "yes"}'), step("a\nb"), step("Last.")]


def test_lines_without_words_fall_out():
    written = sections_from([title("Back"), step(""), step("Turn."), step("  "), title(""), step("")])
    assert written.sections == [{"title": "Back", "steps": ["Turn."]}]
    assert written.steps == ((2,),)
    assert written.problems == ()


@pytest.mark.parametrize(
    ("lines", "place", "says"),
    [
        ([step("Turn.")], 0, "This step is in no section: put a section with a title before it."),
        (
            [title(""), step("Turn.")],
            0,
            "This section has steps and no title: write one, for example “Back”.",
        ),
        ([title("Back"), step("x" * 20_001)], 1, "At most 20,000 characters fit in a step: divide it."),
        (
            [TextLine("title", "Back", "[1]")],
            0,
            "This condition can't be understood: choose one from the list.",
        ),
        (
            [TextLine("title", "Back", "{")],
            0,
            "This condition can't be understood: choose one from the list.",
        ),
    ],
)
def test_a_line_that_cannot_be_saved_is_told_at_its_place(lines, place, says):
    (problem,) = sections_from(lines).problems
    assert (problem.place, problem.says) == (place, says)


def test_a_text_with_a_title_missing_still_prints():
    assert sections_from([step("Turn.")]).sections == [{"title": UNTITLED, "steps": ["Turn."]}]


def test_a_refusal_of_the_pattern_file_is_brought_to_its_line():
    written = sections_from([title("Back"), step(""), step("Turn\x07")])
    with pytest.raises(PatternFileError) as refusal:
        read_pattern({**sample("puffinbay_child"), "sections": written.sections})
    assert written.line_of(refusal.value) == 2
    assert written.line_of(PatternFileError("$.values[3]", "")) is None
    assert written.line_of(PatternFileError("$.sections[7].title", "")) is None


@pytest.mark.parametrize(
    ("act", "after", "place"),
    [
        ("step-1", ["Back", "Chain.", "", "Turn.", "Hood", "Pick up."], 2),
        ("section-0", ["Back", "Chain.", "Turn.", "", "", "Hood", "Pick up."], 3),
        ("up-2", ["Back", "Turn.", "Chain.", "Hood", "Pick up."], 1),
        ("up-1", ["Back", "Chain.", "Turn.", "Hood", "Pick up."], 1),
        ("down-2", ["Back", "Chain.", "Hood", "Turn.", "Pick up."], 3),
        ("down-4", ["Back", "Chain.", "Turn.", "Hood", "Pick up."], 4),
        ("up-4", ["Back", "Chain.", "Turn.", "Pick up.", "Hood"], 3),
        ("up-3", ["Hood", "Pick up.", "Back", "Chain.", "Turn."], 0),
        ("down-0", ["Hood", "Pick up.", "Back", "Chain.", "Turn."], 2),
        ("up-0", ["Back", "Chain.", "Turn.", "Hood", "Pick up."], 0),
        ("down-3", ["Back", "Chain.", "Turn.", "Hood", "Pick up."], 3),
        ("out-1", ["Back", "Turn.", "Hood", "Pick up."], 1),
        ("out-4", ["Back", "Chain.", "Turn.", "Hood"], 3),
        ("block-1", ["Back", "::: only sizes=S\nChain.\n:::", "Turn.", "Hood", "Pick up."], 1),
        ("block-0", ["Back", "Chain.", "Turn.", "Hood", "Pick up."], 0),
        ("up-9", ["Back", "Chain.", "Turn.", "Hood", "Pick up."], -1),
        ("eat-1", ["Back", "Chain.", "Turn.", "Hood", "Pick up."], -1),
    ],
)
def test_a_button_changes_the_lines_and_tells_where_to_go_on(act, after, place):
    lines, focus = change_lines(lines_of(SECTIONS), act, "only sizes=S")
    assert (texts(lines), focus) == (after, place)


BASE = [title("Back"), step("One."), step("Two."), step("Three.")]


def changed(place, text):
    return [*BASE[:place], step(text), *BASE[place + 1 :]]


def test_changes_of_two_people_in_different_steps_are_both_kept():
    merged = merge_lines(BASE, changed(1, "Mine."), changed(3, "Theirs."))
    assert texts(one.line for one in merged) == ["Back", "Mine.", "Two.", "Theirs."]
    assert [one.says for one in merged] == ["", "", "", MEANWHILE]
    assert not any(one.theirs for one in merged)


def test_neighbouring_steps_changed_by_two_people_are_both_kept():
    merged = merge_lines(BASE, changed(1, "Mine."), changed(2, "Theirs."))
    assert texts(one.line for one in merged) == ["Back", "Mine.", "Theirs.", "Three."]


def test_a_step_that_both_changed_stands_there_in_both_wordings():
    merged = merge_lines(BASE, changed(2, "Mine."), changed(2, "Theirs."))
    assert texts(one.line for one in merged) == ["Back", "One.", "Mine.", "Three."]
    assert (merged[2].says, merged[2].theirs) == (MEANWHILE, "Theirs.")


def test_the_same_change_by_both_is_no_conflict():
    merged = merge_lines(BASE, changed(2, "Same."), changed(2, "Same."))
    assert not any(one.says or one.theirs for one in merged)


def test_a_step_changed_by_one_and_taken_out_by_the_other_is_not_lost():
    less = [*BASE[:2], BASE[3]]
    mine_gone = merge_lines(BASE, less, changed(2, "Theirs."))
    assert [(one.line.text, one.says) for one in mine_gone][2] == ("Theirs.", TAKEN_OUT_HERE)
    theirs_gone = merge_lines(BASE, changed(2, "Mine."), less)
    assert [(one.line.text, one.says, one.theirs) for one in theirs_gone][2] == ("Mine.", TAKEN_OUT, "")


def test_steps_added_and_taken_out_by_one_alone_are_so_afterwards():
    merged = merge_lines(BASE, [*BASE, step("Mine.")], [BASE[0], step("Theirs."), *BASE[2:]])
    assert texts(one.line for one in merged) == ["Back", "Theirs.", "Two.", "Three.", "Mine."]


def test_a_step_added_beside_one_that_the_other_changed_leaves_both():
    theirs = [BASE[0], step("Theirs one."), step("Theirs two."), step("Theirs three.")]
    mine = [BASE[0], step("Mine."), BASE[2], step("Mine, new."), BASE[3]]
    merged = merge_lines(BASE, mine, theirs)
    assert [(one.line.text, one.theirs) for one in merged] == [
        ("Back", ""),
        ("Mine.", "Theirs one."),
        ("Theirs two.", ""),
        ("Mine, new.", ""),
        ("Theirs three.", ""),
    ]
    other = merge_lines(BASE, theirs, mine)
    assert [(one.line.text, one.theirs) for one in other] == [
        ("Back", ""),
        ("Theirs one.", "Mine."),
        ("Theirs two.", ""),
        ("Mine, new.", ""),
        ("Theirs three.", ""),
    ]


def test_blocks_name_sizes_and_choices_as_steps_read_them():
    core = read_pattern(sample("puffinbay_child"))
    assert typed_block(core, "", "4y", "8y") == "only sizes=4y..8y"
    assert typed_block(core, "", "8y", "4y") == "only sizes=4y..8y"
    assert typed_block(core, "", "6y", "6y") == "only sizes=6y"
    assert typed_block(core, "", "9X", "") == "only sizes=2y"
    assert typed_block(core, "when fastening=buttons", "", "") == "when fastening=buttons"
    assert typed_block(core, "when nothing=here", "4y", "4y") == "only sizes=4y"
    assert (quoted("1½y"), quoted("0-3 m"), quoted("S,M")) == ("1½y", '"0-3 m"', '"S,M"')
