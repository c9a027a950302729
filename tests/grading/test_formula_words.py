"""What a formula may say: nothing that the calculation reads is without its line of help."""

from grading.core.formula.formula import parse_formula
from grading.core.formula.literals import FUNCTIONS, UNITS
from grading.grid.formula_words import formula_words, function_words, unit_words


def test_every_function_and_unit_has_a_line_of_help():
    assert {word for word, _, _ in function_words()} == FUNCTIONS
    assert {word for word, _, _ in unit_words()} == set(UNITS)


def test_every_example_can_be_read_as_a_formula():
    for _, example, _ in [*function_words(), *unit_words()]:
        parse_formula(example)


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
