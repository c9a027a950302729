"""Blocks of a step keep to some sizes or choices, and what they name must exist."""

import pytest

from grading.core.instructions.blocks import BlockCondition, read_blocks, read_condition, sizes_kept

SIZES = ("0-3 m", "S", "M", "L", "XL")
OPTIONS = {"sleeves": ("long", "none"), "fastening": ("buttons", "buttons and ties")}


def condition(words: str) -> BlockCondition:
    """Return the condition of one block without problems."""
    found = read_blocks(f"::: {words}\nA\n:::", SIZES, OPTIONS)
    assert found.problems == ()
    return found.passages[0].conditions[0]


@pytest.mark.parametrize(
    ("words", "kept"),
    [
        ("only sizes=M..XL", (2, 3, 4)),
        ('only sizes=S,"0-3 m"', (0, 1)),
        ('only sizes="0-3 m"..S, XL', (0, 1, 4)),
        ("only sizes=“0-3 m”", (0,)),
        ("only sizes=M", (2,)),
    ],
)
def test_sizes_are_read_singly_and_as_ranges(words: str, kept: tuple[int, ...]) -> None:
    assert condition(words).sizes == kept


@pytest.mark.parametrize(
    ("words", "when"),
    [
        ("when sleeves=long", (("sleeves", ("long",)),)),
        ('when fastening="buttons and ties"', (("fastening", ("buttons and ties",)),)),
        ("when sleeves=long,none", (("sleeves", ("long", "none")),)),
        (
            "when sleeves=long fastening=buttons",
            (("sleeves", ("long",)), ("fastening", ("buttons",))),
        ),
    ],
)
def test_choices_are_read(words: str, when: tuple[tuple[str, tuple[str, ...]], ...]) -> None:
    assert condition(words).when == when


@pytest.mark.parametrize(
    ("words", "named"),
    [
        ("only sizes=XXL", "There is no size XXL: did you mean XL?"),
        ("only sizes=XL..M", "names no size"),
        ("only sizes=", "names no size"),
        ("only sizes=0-3 m", "sizes=M..XL"),
        ("when sleeve=long", "There is no option sleeve: did you mean sleeves?"),
        ("when sleeves=short", "There is no choice of sleeves short"),
        ("when sleeves", "write option=choice"),
        ("warning", "A block begins with"),
        ("only sizes=" + "M," * 2000, "longer than 2000"),
    ],
)
def test_a_block_that_names_nothing_known_is_a_problem(words: str, named: str) -> None:
    found = read_blocks(f"one\n::: {words}\nA\n:::", SIZES, OPTIONS)
    assert named in found.problems[0].says
    assert found.problems[0].offset == 4
    assert "A\n" in [passage.text for passage in found.passages]


def test_an_unclosed_block_and_a_stray_end_are_named() -> None:
    assert "not closed" in read_blocks("::: only sizes=M\nA", SIZES, OPTIONS).problems[0].says
    stray = read_blocks("A\n:::\n", SIZES, OPTIONS).problems
    assert [(problem.offset, "closes no block" in problem.says) for problem in stray] == [(2, True)]


def test_words_outside_blocks_are_kept_with_their_places() -> None:
    text = "one\n\n::: only sizes=M\ntwo\n:::\nthree"
    passages = read_blocks(text, SIZES, OPTIONS).passages
    assert [(one.text, len(one.conditions)) for one in passages] == [
        ("one\n\n", 0),
        ("two\n", 1),
        ("three", 0),
    ]
    assert all(text[one.offset :].startswith(one.text) for one in passages)


def test_blocks_within_blocks_must_both_hold() -> None:
    text = "::: only sizes=S..L\n::: only sizes=M..XL\nA\n:::\n:::"
    (passage,) = read_blocks(text, SIZES, OPTIONS).passages
    assert sizes_kept(passage.conditions, len(SIZES)) == (2, 3)


def test_blocks_are_not_nested_without_end() -> None:
    text = "::: only sizes=M\n" * 6 + "A\n" + ":::\n" * 6
    assert ["inside each other" in one.says for one in read_blocks(text, SIZES, OPTIONS).problems] == [True]


@pytest.mark.parametrize(
    ("words", "choices"),
    [
        ("when colour=five-colour stripes", ("five-colour stripes",)),
        ("when colour=plain,five-colour stripes", ("plain", "five-colour stripes")),
        ('when colour="five-colour stripes"', ("five-colour stripes",)),
    ],
)
def test_a_known_choice_of_several_words_needs_no_quotation_marks(
    words: str, choices: tuple[str, ...]
) -> None:
    options = {"colour": ["plain", "five-colour stripes"], "sleeves": ["long", "none"]}
    found, says = read_condition(words, ["S"], options)
    assert (found.when, says) == ((("colour", choices),), [])
    found, says = read_condition(f"{words} sleeves=none", ["S"], options)
    assert (found.when, says) == ((("colour", choices), ("sleeves", ("none",))), [])
