"""What a formula may say: lines of the sheet by label, functions and units, with one line of help each."""

from grading.core.formula.dimension_checks import sort_of
from grading.core.formula.dimensions import describe
from grading.core.formula.errors import FormulaError
from grading.core.formula.formula import parse_formula
from grading.core.formula.literals import FUNCTIONS, UNITS
from grading.core.pattern.parts import label_of
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.names import Names
from grading.sheets.documents import Document, entries_of

FUNCTION_HELP = {
    "min": ("min(a, b)", "the smallest of several numbers"),
    "max": ("max(a, b)", "the largest of several numbers"),
    "sum": ("sum(a, b)", "several numbers added up"),
    "abs": ("abs(a)", "the number without its minus sign"),
    "sqrt": ("sqrt(a)", "the square root, such as a side of a square from its area"),
    "round": ("round(a)", "to the nearest whole number"),
    "even": ("even(a)", "to the nearest even number"),
    "odd": ("odd(a)", "to the nearest odd number"),
    "ceiling": ("ceiling(a)", "up to the next whole number"),
    "floor": ("floor(a)", "down to the next whole number"),
}
UNIT_HELP = {
    "mm": "millimetres",
    "cm": "centimetres",
    "m": "metres; write m yarn for yarn",
    "in": "inches",
    "ft": "feet",
    "yd": "yards; write yd yarn for yarn",
    "g": "grams",
    "kg": "kilograms",
    "oz": "ounces",
    "stitch": "one stitch",
    "stitches": "stitches",
    "row": "one row",
    "rows": "rows",
    "%": "hundredths, such as 5 %",
}


def formula_words(document: Document) -> list[tuple[str, str, str]]:
    """What may be written, its label, and one line of help: lines first, then functions and units."""
    return [*line_words(document), *function_words(), *unit_words()]


def line_words(document: Document) -> list[tuple[str, str, str]]:
    """Each line that a formula may name: its name, its label, and what it is."""
    body = [(name, entry["label"], "body measurement") for name, entry in entries_of(document, "body")]
    values = [(name, label_of(entry), entry["kind"]) for name, entry in entries_of(document, "values")]
    gauge = [
        (f"{name}.{part}", f"{entry['label']}, {part}", f"{part} per length")
        for name, entry in entries_of(document, "fabrics")
        for part in ("stitches", "rows")
    ]
    size_number = [size_number_word(document)] if document.get("sizes") else []
    return [*body, *values, *gauge, *size_number]


def size_number_word(document: Document) -> tuple[str, str, str]:
    """How a formula asks for the size, with an example of this pattern."""
    sizes = document["sizes"]
    at = (len(sizes) + 1) // 2
    example = f"if size_number >= {at} then …"
    says = f"1 in {sizes[0]}, {len(sizes)} in {sizes[-1]}; from {sizes[at - 1]} up: {example}"
    return "size_number", "Number of the size", says


def function_words() -> list[tuple[str, str, str]]:
    """Each function, how it is written, and what it gives."""
    return [(name, *FUNCTION_HELP[name]) for name in sorted(FUNCTIONS)]


def unit_words() -> list[tuple[str, str, str]]:
    """Each unit, as it is written, and its name."""
    return [(unit, f"4 {unit}", UNIT_HELP[unit]) for unit in UNITS]


def what_it_gives(text: str, pattern: PatternFile) -> str:
    """What a formula gives in words, such as “stitches”; empty where it cannot be worked out."""
    symbols = Names(pattern).symbols
    try:
        names = parse_formula(text).names
        found = sort_of(text, tuple(symbols[name].dimension for name in names))
    except (FormulaError, KeyError):
        return ""
    if isinstance(found, FormulaError):
        return ""
    return "true or false" if isinstance(found, str) else describe(found)
