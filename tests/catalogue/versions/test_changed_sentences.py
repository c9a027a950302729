"""What changed is told in whole sentences, for the sizes and in the terms of an edition."""

import pytest
from django.template.loader import render_to_string

from catalogue.versions.changed_sentences import changed_sentences, for_sizes, without_other_sizes
from catalogue.versions.printed_changes import printed_changes
from grading.core.pattern.wordings import NEWEST_WORDING
from grading.core.printing.edition import PrintForm

PIECES = [
    ("same", "Turn. Decrease 1 st at each end of every "),
    ("gone", "4th (3rd)"),
    ("new", "5th (4th)"),
    ("same", " row "),
    ("gone", "once (5 times)"),
    ("new", "2 (6) times"),
    ("same", ". Fasten off."),
]


def test_a_sentence_that_changed_stands_whole_as_it_was_and_as_it_is():
    assert changed_sentences(PIECES) == [
        (
            "Decrease 1 st at each end of every 4th (3rd) row once (5 times).",
            "Decrease 1 st at each end of every 5th (4th) row 2 (6) times.",
        )
    ]


def test_what_came_or_went_alone_has_no_other_side():
    assert changed_sentences([("same", "Turn."), ("new", " Mark both ends.")]) == [("", "Mark both ends.")]
    assert changed_sentences([("same", "Turn."), ("gone", " Mark both ends.")]) == [("Mark both ends.", "")]


def test_an_edition_of_one_size_has_its_own_numbers_alone():
    text = "Work 22 (25, 25, 28) [31, 34, 36] (39, 42) hdc along 16½ (17, 17½, 18) in, 3 (4) times."
    said = for_sizes(text, [5], 9)
    assert said == "Work 34 hdc along 16½ (17, 17½, 18) in, 3 (4) times."
    (old, new), *_ = changed_sentences(PIECES)
    assert for_sizes(old, [1], 2) == "Decrease 1 st at each end of every 3rd row 5 times."
    assert for_sizes(new, [1], 2) == "Decrease 1 st at each end of every 4th row 6 times."


def test_an_edition_of_one_group_has_the_lists_of_its_sizes_in_their_places():
    text = (
        "Work 22 (25, 25, 28) [31, 34, 36] (39, 42) hdc along 16½ (17, 17½, 18) in, once (once, 2, 2) times."
    )
    said = for_sizes(text, [4, 5, 6], 9)
    assert said == "Work 31 [34, 36] hdc along 16½ (17, 17½, 18) in, once (once, 2, 2) times."


SIZES = ["6 m", "12 m", "S", "M", "L"]


@pytest.mark.parametrize(
    ("sizes", "kept", "is_told"),
    [
        ("Size L", [4], True),
        ("Size L", [2, 3], False),
        ("Sizes 6 m, S and L", [1, 3], False),
        ("Sizes 6 m, S and L", [0, 1], True),
        ("Sizes 12 m to M", [0], False),
        ("Sizes 12 m to M", [2], True),
        ("Sleeves: long; Size L", [0], False),
        ("Sizes of any other name", [0], True),  # what can't be read is told
    ],
)
def test_a_part_of_a_step_is_told_where_one_of_its_sizes_is(sizes, kept, is_told):
    step = f"Join A.\n{sizes} only: Work [a] rows.\n[a] Rows: 1 (2)\nFasten off."
    left = step if is_told else "Join A.\nFasten off."
    assert without_other_sizes(step, kept, SIZES) == left


@pytest.mark.parametrize(
    ("kept", "left"),
    [
        ([1], "Shape:\nRow 1: knit.\n12 m, S: on row 2.\n(9 sts) Work 4 sts: 1 in 2."),
        (
            [4],
            "Shape:\nRow 1: knit.\nM to L: on row 4.\n(9 sts) Work 4 sts: 1 in 2; 6 m, L: then 1 in 2.5 cm.",
        ),
        (
            [2, 3],
            "Shape:\nRow 1: knit.\n12 m, S: on row 2.\nM to L: on row 4.\n(9 sts) Work 4 sts: 1 in 2; M: 3.",
        ),
    ],
)
def test_lines_and_parts_of_a_sentence_after_other_sizes_are_left_out(kept, left):
    lines = "6 m: on row 1.\n12 m, S: on row 2.\nM to L: on row 4.\n"
    step = f"Shape:\nRow 1: knit.\n{lines}(9 sts) Work 4 sts: 1 in 2; 6 m, L: then 1 in 2.5 cm; M: 3."
    assert without_other_sizes(step, kept, SIZES) == left


def changed_record():
    pieces = [
        ["same", "Chain "],
        ["gone", "10 (12, 14, 16, 18)"],
        ["new", "10 (12, 14, 17, 18)"],
        ["same", ". Turn.\nSizes 6 m and 12 m only: Work "],
        ["gone", "2"],
        ["new", "3"],
        ["same", " rows."],
    ]
    number = {"name": "back", "label": "Back", "kind": "stitches", "size": "M", "old": 16, "new": 17}
    words = [{"section": "Back", "step": 1, "pieces": pieces}]
    changes = {"since": "1.0", "numbers": [number], "words": words, "entries": []}
    return {"wording": NEWEST_WORDING, "changes": changes, "results": {"sizes": SIZES}}


@pytest.mark.parametrize(
    ("sizes", "numbers", "sentences"),
    [
        (
            SIZES,
            1,
            [
                ("Chain 10 (12, 14, 16, 18).", "Chain 10 (12, 14, 17, 18)."),
                ("Work 2 rows.", "Work 3 rows."),
            ],
        ),
        (["6 m", "12 m"], 0, [("Work 2 rows.", "Work 3 rows.")]),
        (["S", "M", "L"], 1, [("Chain 14 (16, 18).", "Chain 14 (17, 18).")]),
        (["M"], 1, [("Chain 16.", "Chain 17.")]),
        (["S"], 0, []),
    ],
)
def test_an_edition_tells_of_the_changes_of_its_sizes_alone(sizes, numbers, sentences):
    told = printed_changes(changed_record(), PrintForm("cm"), sizes)
    assert told is not None
    assert told.changed_numbers == numbers
    assert [(one.old, one.new) for one in told.sentences] == sentences


def test_where_nothing_has_changed_for_its_sizes_an_edition_says_so():
    def printed(sizes):
        changes = printed_changes(changed_record(), PrintForm("cm"), sizes)
        return render_to_string(
            "catalogue/pdf/_changes.html", {"changes": changes, "wording": NEWEST_WORDING}
        )

    assert "No number and no instruction has changed for this size." in printed(["S"])
    assert "struck through" not in printed(["S"])
    assert "struck through" in printed(["S", "M"])
    assert "No number" not in printed(["S", "M"])
