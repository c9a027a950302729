"""Numbers as people type them, with or without a unit: 47.5, 47,5 cm, 18½ in; one way for every page."""

import re
from dataclasses import dataclass
from fractions import Fraction

from grading.core.formula.errors import FormulaError
from grading.core.formula.literals import FUNCTIONS, MOST_DECIMALS, in_unit

FRACTION_SIGNS = {
    "¼": Fraction(1, 4),
    "½": Fraction(1, 2),
    "¾": Fraction(3, 4),
    "⅛": Fraction(1, 8),
    "⅜": Fraction(3, 8),
    "⅝": Fraction(5, 8),
    "⅞": Fraction(7, 8),
    "⅓": Fraction(1, 3),
    "⅔": Fraction(2, 3),
}
UNIT_WORDS = {
    **dict.fromkeys(("centimetre", "centimetres", "centimeter", "centimeters"), "cm"),
    **dict.fromkeys(("inch", "inches", '"', "”", "″"), "in"),
    **dict.fromkeys(("metre", "metres", "meter", "meters"), "m"),
    **dict.fromkeys(("yds", "yard", "yards"), "yd"),
    **dict.fromkeys(("gram", "grams"), "g"),
    **dict.fromkeys(("ounce", "ounces"), "oz"),
    **dict.fromkeys(("st", "sts"), "stitches"),
    **dict.fromkeys(("rnd", "rnds", "round", "rounds"), "rows"),
}
LONGEST = 80

_TYPED = re.compile(
    r"(?P<minus>[+-]\s*)?(?P<whole>[0-9]{1,12}(?:[.,][0-9]{1,40})?)?"
    rf"(?:\s*(?P<part>[{''.join(FRACTION_SIGNS)}])|(?:(?<=[0-9])\s+|(?<![0-9.,]))(?P<top>[0-9]{{1,3}})/(?P<bottom>[0-9]{{1,3}}))?"
    r"\s*(?P<unit>%|[a-zA-Z]+(?:\s+yarn)?|[\"”″])?"
)
_HYPHEN = re.compile(rf"(?<=[0-9])\s*[-‐‑–]\s*(?=[0-9]{{1,3}}/[0-9]|[{''.join(FRACTION_SIGNS)}])")
_COMMA = re.compile(r"(?<![\w.,])[0-9]+,[0-9]+(?![0-9.,])", re.ASCII)
_BRACKET = re.compile(r"(?:([a-z]+)\s*)?\(|\)")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


class TypedNumberError(ValueError):
    """What was typed is no number that can be read in one way; the sentence says what to write."""


@dataclass(frozen=True)
class TypedNumber:
    """A number as read.

    Attributes:
        number: Exactly what was typed.
        digits: The same with a decimal point; a fraction to 6 decimals at most, all else as typed.
        unit: As the sheet writes it where it is known, else as typed, in lower case; "" without one.
    """

    number: Fraction
    digits: str
    unit: str


def read_typed_number(text: str, *, is_lone: bool = False) -> TypedNumber:
    """Read a number as people type it.

    Args:
        text: Digits with a decimal point or comma, a fraction as a sign or as 1/2, and perhaps a unit.
        is_lone: Whether no formula may stand here, so that 37-1/2 is 37½ and takes nothing away.

    Returns:
        The number and its unit; whether the unit is known is for the page to say.

    Raises:
        TypedNumberError: It is no number, or can be read in two ways; one sentence says what to write.

    >>> read_typed_number("18 1/2 in")
    TypedNumber(number=Fraction(37, 2), digits='18.5', unit='in')
    >>> read_typed_number("47,5").digits, read_typed_number("18½in").digits
    ('47.5', '18.5')
    >>> read_typed_number("37-1/2", is_lone=True).digits
    '37.5'
    """
    typed = _HYPHEN.sub(" ", text.strip()) if is_lone else text.strip()
    found = _TYPED.fullmatch(typed) if len(typed) <= LONGEST else None
    parts = found.groupdict() if found else {}
    whole, sign, top, bottom = (parts.get(name) for name in ("whole", "part", "top", "bottom"))
    if not (whole or sign or top):
        raise TypedNumberError(f"“{typed[:40]}” can't be read as a number.")
    if whole and _THOUSANDS.fullmatch(whole):
        as_thousands, as_decimal = whole.replace(",", ""), whole.replace(",", ".")
        raise TypedNumberError(f"“{whole}” can be read in two ways: write {as_thousands} or {as_decimal}.")
    if bottom and int(bottom) == 0:
        raise TypedNumberError("A fraction can't have 0 below the line.")
    point = (whole or "0").replace(",", ".")
    part = FRACTION_SIGNS[sign] if sign else Fraction(int(top), int(bottom)) if top and bottom else None
    if part is not None and ("." in point or (whole and part >= 1)):
        raise TypedNumberError(f"“{typed[:40]}” can be read in two ways: write it with a decimal point.")
    is_negative = (parts["minus"] or "").startswith("-")
    number = (Fraction(point) + (part or 0)) * (-1 if is_negative else 1)
    digits = f"{'-' if is_negative else ''}{point}" if part is None else _decimal(number)
    unit = (parts["unit"] or "").lower()
    return TypedNumber(number, digits, UNIT_WORDS.get(unit, unit))


def unit_named(word: str) -> str | None:
    """The unit that a word stands for, as the sheet writes it; None for an unknown word.

    >>> unit_named("inches"), unit_named("CM"), unit_named("furlong")
    ('in', 'cm', None)
    """
    unit = UNIT_WORDS.get(word.lower(), word.lower())
    return unit if unit and in_unit("1", unit) else None


def formula_with_points(text: str) -> str:
    """A formula with a decimal point for every decimal comma.

    Args:
        text: As typed; between the brackets of a function a comma parts two numbers.

    Raises:
        FormulaError: A comma can be read in two ways; says what to write, and carries the place.

    >>> formula_with_points("(bust + 2,5 cm) / 2"), formula_with_points("max(bust, 2.5 cm)")
    ('(bust + 2.5 cm) / 2', 'max(bust, 2.5 cm)')
    """
    written = list(text)
    for found in _COMMA.finditer(text):
        number = found[0]
        as_two = _in_function(text[: found.start()])
        if as_two or _THOUSANDS.fullmatch(number):
            point = number.replace(",", ".")
            other = number.replace(",", ", ") if as_two else number.replace(",", "")
            at = text[: found.start()].rfind("\n")
            raise FormulaError(
                f"“{number}” can be read in two ways: write {point} or {other}.",
                text.count("\n", 0, found.start()) + 1,
                found.start() - at,
            )
        written[found.start() + number.index(",")] = "."
    return "".join(written)


def length_formula(text: str, unit: str) -> str:
    """A length, or a formula of one, as the sheet writes it.

    Args:
        text: As typed: a number with or without its unit, or a formula.
        unit: Of a number without one.

    Raises:
        FormulaError: A comma can be read in two ways.

    >>> length_formula("18 1/2", "in"), length_formula("4,5 cm", "in")
    ('18.5 in', '4.5 cm')
    >>> length_formula("bust / 2 + 2,5 cm", "cm")
    'bust / 2 + 2.5 cm'
    """
    try:
        typed = read_typed_number(text)
    except TypedNumberError:
        return formula_with_points(text)
    if typed.unit or not typed.number:
        return formula_with_points(with_point(text))
    return f"{typed.digits} {unit}"


def _in_function(before: str) -> bool:
    """Whether the innermost bracket that is open at the end of a text is that of a function."""
    opened: list[bool] = []
    for found in _BRACKET.finditer(before):
        if found[0] == ")":
            del opened[-1:]
        else:
            opened.append(found[1] in FUNCTIONS)
    return bool(opened) and opened[-1]


def with_point(text: str) -> str:
    """A number as the sheet writes it, with its unit; what is none, or is written so already, as it is.

    >>> with_point("18½ in"), with_point("47,5 cm"), with_point("16 inches"), with_point("bust + 4 cm")
    ('18.5 in', '47.5 cm', '16 in', 'bust + 4 cm')
    >>> with_point("1/2 sleeve"), with_point("2.50 cm")
    ('1/2 sleeve', '2.50 cm')
    """
    try:
        typed = read_typed_number(text)
    except TypedNumberError:
        return text
    is_known = in_unit(typed.digits.lstrip("-"), typed.unit) is not None
    is_written_so = re.fullmatch(r"[^,/\s]*\s*" + re.escape(typed.unit), text.strip()) and text.isascii()
    return f"{typed.digits} {typed.unit}".strip() if is_known and not is_written_so else text


def _decimal(number: Fraction) -> str:
    """A number in decimals, to 6 at most, without zeros at its end."""
    return f"{float(number):.{MOST_DECIMALS}f}".rstrip("0").rstrip(".")
