"""What a formula may say: nothing that the calculation reads is without its line of help."""

from grading.core.formula.formula import parse_formula
from grading.core.formula.literals import FUNCTIONS, UNITS
from grading.core.pattern.file import read_pattern
from grading.core.sheet.names import Names
from grading.grid.formula_words import formula_words, function_words, line_words, unit_words
from tests.builders import sample


def test_every_function_and_unit_has_a_line_of_help():
    assert {word for word, _, _ in function_words()} == FUNCTIONS
    assert {word for word, _, _ in unit_words()} == set(UNITS)


def test_every_example_can_be_read_as_a_formula():
    for _, example, _ in [*function_words(), *unit_words()]:
        parse_formula(example)


def test_a_size_is_asked_by_its_number_and_who_types_its_name_is_told_so():
    pattern = read_pattern(sample("brackenmere_pullover"))
    names, last = Names(pattern), len(pattern.sizes)
    word, _, help_line = formula_words(pattern.typed)[len(line_words(pattern.typed)) - 1]
    assert word == "size_number"
    assert f"1 in {pattern.sizes[0]}, {last} in {pattern.sizes[-1]}" in help_line
    assert f"if size_number >= {last}” means from {pattern.sizes[-1]} up" in str(names.problem("size"))
    assert f"is 1 in {pattern.sizes[0]} and 2 in {pattern.sizes[1]}," in str(names.problem(pattern.sizes[1]))
    parse_formula(f"if size_number >= {last} then 4 cm else 2 cm")
    assert "There is no line called" in str(names.problem("sizing"))


def test_lines_are_offered_by_label_with_what_they_are():
    document = {
        "body": {"bust": {"label": "Bust girth", "unit": "cm", "values": [84]}},
        "fabrics": {"main": {"label": "Trebles", "stitches": 14, "rows": 8, "over": "10 cm"}},
    }
    assert formula_words(document)[:3] == [
        ("bust", "Bust girth", "body measurement"),
        ("main.stitches", "Trebles, stitches", "stitches per length"),
        ("main.rows", "Trebles, rows", "rows per length"),
    ]
