"""What changed is told in whole sentences, for the sizes and in the terms of an edition."""

from catalogue.versions.changed_sentences import changed_sentences, for_size

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
    said = for_size(text, 5, 9)
    assert said == "Work 34 hdc along 16½ (17, 17½, 18) in, 3 (4) times."
    (old, new), *_ = changed_sentences(PIECES)
    assert for_size(old, 1, 2) == "Decrease 1 st at each end of every 3rd row 5 times."
    assert for_size(new, 1, 2) == "Decrease 1 st at each end of every 4th row 6 times."
