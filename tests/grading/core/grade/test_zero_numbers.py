"""A step that tells a size to do nothing is noticed, however it is written; a dash that is meant is not."""

import pytest

from grading.core.grade.grade import grade, regrade
from grading.core.pattern.file import read_pattern

LEAVE_OUT = "put that sentence between “::: only sizes=” with the other sizes, and “:::”"


def vest(*steps, even=(0, 2, 4), rows="10 rows - 10 rows"):
    """A knitted vest with a list of even rounds, and rows by a formula."""
    return read_pattern(
        {
            "format": "evenrow-pattern",
            "format_version": 1,
            "title": "Vest",
            "craft": "knitting",
            "home_units": "cm",
            "home_terms": "US",
            "sizes": ["S", "M", "L"],
            "fabrics": {"main": {"label": "Main", "stitches": 20, "rows": 28, "over": "10 cm"}},
            "values": [
                {"name": "even_rounds", "label": "Even rounds", "kind": "rows", "list": list(even)},
                {"name": "more_rows", "label": "More rows", "kind": "rows", "formula": rows},
                {"name": "ease", "label": "Ease", "kind": "length", "list": ["0 cm", "2 cm", "4 cm"]},
            ],
            "pick_ups": [
                {
                    "name": "edge",
                    "along": "row ends",
                    "count": "even_rounds",
                    "ratio": "1 per 1",
                    "fabric": "main",
                }
            ],
            "sections": [{"title": "Body", "steps": list(steps)}],
        }
    )


def zeros(pattern):
    said = ("prints “0", "has a 0", "to do nothing")
    found = [one for one in grade(pattern).findings if any(words in one.says for words in said)]
    return [(one.where, one.size, one.line, one.column, one.weight, one.says) for one in found]


def test_a_list_that_prints_zero_in_a_size_is_noticed_with_what_to_do():
    says = (
        "{even_rounds} prints “0 rounds” in size S: leave it empty in its list, which prints a dash, "
        f"or {LEAVE_OUT}."
    )
    found = zeros(vest("Join. Knit {even_rounds} rounds."))
    assert found == [("sections[0].steps[0]", "S", 1, 12, "warn", says)]


def test_a_formula_that_prints_zero_has_its_sentence_left_out():
    found = zeros(vest("Repeat the last row {more_rows} more times.", rows="(ease / 2 cm) * 1 rows"))
    assert [(size, says) for _, size, *_, says in found] == [
        ("S", f"{{more_rows}} prints “0 more times” in size S: {LEAVE_OUT}.")
    ]


def test_what_is_zero_in_every_size_is_told_once():
    found = zeros(vest("Repeat the last row {more_rows} more times."))
    says = "{more_rows} prints “0 more times” in every size: take that sentence out."
    assert [(size, said) for _, size, *_, said in found] == [(None, says)]


@pytest.mark.parametrize(
    ("step", "sizes"),
    [
        ("Knit {even_rounds - 2} rounds.", ["M"]),
        ("Knit {even_rounds / 2} rounds.", ["S"]),
        ("Pick up {edge} sts.", ["S"]),
        ("{edge in words}", ["S"]),
        ("::: only sizes=M..L\nKnit {even_rounds} rounds.\n:::", []),
        ("There is {ease} of ease.", []),
        ("Knit 1 {even_rounds|round|rounds}.", []),
        ("`{even_rounds}` rounds", ["S"]),
    ],
)
def test_every_way_to_print_a_count_is_read_for_the_sizes_that_have_it(step, sizes):
    assert [size for _, size, *_ in zeros(vest(step))] == sizes


def test_a_dash_that_is_meant_is_not_noticed():
    assert zeros(vest("Knit {even_rounds} rounds.", even=(None, 2, 4))) == []


@pytest.mark.parametrize(
    ("step", "shown"),
    [
        ("Knit 0 rounds.", "0 rounds"),
        ("Repeat from * 0 more times.", "0 more times"),
        ("Decrease 0 sts.", "0 sts"),
    ],
)
def test_a_typed_zero_is_noticed(step, shown):
    says = f"“{shown}” tells makers to do nothing: leave it out, or write what they do instead."
    assert [one[-1] for one in zeros(vest(step))] == [says]


@pytest.mark.parametrize(
    "step", ["Knit 10 rounds.", "Knit 4 (–, 2) rows.", "Knit 20 (10, 30) rows.", "Use 2.0 sts.", "`0 rows`"]
)
def test_tens_dashes_and_words_in_backticks_are_no_zeros(step):
    assert zeros(vest(step)) == []


def test_an_edit_finds_what_grading_anew_finds():
    whole = grade(vest("Knit {even_rounds} rounds.", even=(2, 2, 4)))
    now = vest("Knit {even_rounds} rounds.")
    assert regrade(whole, now).findings == grade(now).findings
    assert len(zeros(now)) == 1
    before = grade(vest("Knit {even_rounds} rounds.", even=(None, 2, 4)))
    assert regrade(before, now).findings == grade(now).findings


def test_half_of_an_odd_number_is_a_stop_at_its_step():
    """Worked by hand: half of 5 is no whole number of rounds, half of 4 is."""
    pattern = vest("Knit {even_rounds / 2} rounds.", "Knit {even_rounds} rounds.", even=(4, 5, 7))
    says = (
        "{even_rounds / 2} is half of 5 in size M and 1 more size: an odd number has no half. Make that line "
        "even, or tell the two parts as two lines."
    )
    found = [one for one in grade(pattern).findings if "half of" in one.says]
    assert [(one.where, one.size, one.column, one.weight, one.says) for one in found] == [
        ("sections[0].steps[0]", "M", 6, "stop", says)
    ]
    only_s = vest("::: only sizes=S\nKnit {even_rounds / 2} rounds.\n:::", even=(4, 5, 7))
    assert not any("half of" in one.says for one in grade(only_s).findings)


def halves(step, even=(4, 6, 8)):
    found = [one for one in grade(vest(step, even=even)).findings if "half" in one.says]
    return [(one.size, one.weight, one.column, one.says) for one in found]


def test_a_half_that_makers_would_have_to_work_out_is_noticed():
    says = (
        "“half of the {even_rounds}” leaves makers to work it out: "
        "write {even_rounds / 2}, which prints the half."
    )
    assert halves("Knit half of the {even_rounds} rounds.") == [(None, "warn", 18, says)]


def test_a_half_in_words_of_an_odd_number_is_a_stop():
    """Worked by hand: half of 5 is no whole number of rounds."""
    (found,) = halves("Knit half of {even_rounds} rounds.", even=(4, 5, 8))
    assert found[:2] == ("M", "stop")
    assert found[3].startswith("“half of {even_rounds}” is half of 5 in size M: an odd number has no half.")


@pytest.mark.parametrize("words", ["half of 6 (8, 9) sts", "half of the 12 rounds", "Half 4 (6, 8)"])
def test_a_half_of_typed_numbers_is_noticed(words):
    assert [says.split("”")[0] for _, _, _, says in halves(f"{words} are knitted.")] == [f"“{words}"]


@pytest.mark.parametrize(
    "step",
    [
        "Knit {even_rounds / 2} rounds.",
        "Half of the sts are on each needle.",
        "Knit about half of the {even_rounds} rounds in A.",
        "Along each half: knit 4 rounds.",
        "Half of 8 cm is 4 cm.",
    ],
)
def test_halves_that_are_worked_out_or_need_no_number_are_not_noticed(step):
    assert halves(step) == []
