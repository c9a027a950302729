"""Read formulas: words, brackets and units into nested tuples, and their dimensions."""

import re
from fractions import Fraction
from typing import Any, TypeAlias

Node: TypeAlias = tuple[Any, ...]
Dimension: TypeAlias = tuple[int, int, int, int, int]

PLAIN: Dimension = (0, 0, 0, 0, 0)
LENGTH: Dimension = (1, 0, 0, 0, 0)
STITCH: Dimension = (0, 1, 0, 0, 0)
ROW: Dimension = (0, 0, 1, 0, 0)
WEIGHT: Dimension = (0, 0, 0, 1, 0)
YARN: Dimension = (0, 0, 0, 0, 1)
AREA: Dimension = (0, 1, 1, 0, 0)
KINDS = {
    "length": LENGTH,
    "stitches": STITCH,
    "rows": ROW,
    "count": PLAIN,
    "ratio": PLAIN,
    "weight": WEIGHT,
    "yarn": YARN,
    "area": AREA,
}
MM = {
    "mm": Fraction(1),
    "cm": Fraction(10),
    "m": Fraction(1000),
    "in": Fraction("25.4"),
    "ft": Fraction("304.8"),
    "yd": Fraction("914.4"),
}
GRAMS = {"g": Fraction(1), "kg": Fraction(1000), "oz": Fraction("28.349523125")}
STITCH_WORDS = {"stitch", "stitches"}
ROW_WORDS = {"row", "rows"}
UNITS = set(MM) | set(GRAMS) | STITCH_WORDS | ROW_WORDS | {"yarn"}
KEYWORDS = {"if", "then", "else", "and", "or", "not"}
FUNCTIONS = {"min", "max", "sum", "abs", "sqrt", "round", "even", "odd", "ceiling", "floor"}
TOKEN = re.compile(r"\s*(?:(\d+(?:\.\d+)?|\.\d+)|([a-z][a-z0-9_]*)|(<=|>=|<>|[-+*/<>=(),.%]))")
COMPARISONS = {"<", "<=", ">", ">=", "=", "<>"}


class FormulaError(Exception):
    """A formula that can't be read, or that adds stitches to rows."""


def measure(number: Fraction, unit: str) -> tuple[Fraction, Dimension]:
    """Turn a number and its unit into mm, g, m of yarn or a count."""
    if unit == "":
        return number, PLAIN
    if unit == "%":
        return number / 100, PLAIN
    if unit.endswith(" yarn"):
        return number * MM[unit.removesuffix(" yarn")] / 1000, YARN
    for table, dimension in ((MM, LENGTH), (GRAMS, WEIGHT)):
        if unit in table:
            return number * table[unit], dimension
    if unit in STITCH_WORDS:
        return number, STITCH
    if unit in ROW_WORDS:
        return number, ROW
    raise FormulaError(unit)


def literal(text: str | float) -> tuple[Fraction, Dimension]:
    """Read one signed number with its unit."""
    found = re.fullmatch(r"\s*([-+]?)\s*(\d+(?:\.\d+)?)\s*([a-z% ]*?)\s*", str(text))
    if not found:
        raise FormulaError(f"no literal: {text}")
    number = Fraction(found[2]) * (-1 if found[1] == "-" else 1)
    return measure(number, found[3])


def tokens(text: str) -> list[str]:
    """Cut a formula into numbers, words and signs."""
    found: list[str] = []
    place = 0
    text = text.rstrip()
    while place < len(text):
        match = TOKEN.match(text, place)
        if not match:
            raise FormulaError(f"no such sign at {place + 1}")
        found.append(match[0].strip())
        place = match.end()
    return found


class Reader:
    """Reads one formula from its tokens, loosest operator first."""

    def __init__(self, text: str) -> None:
        self.left = [*tokens(text), ""]

    def peek(self) -> str:
        """The next token."""
        return self.left[0]

    def take(self, wanted: str | None = None) -> str:
        """Take the next token, which must be the one wanted."""
        token = self.left[0]
        if token == "" or (wanted is not None and token != wanted):
            raise FormulaError(f"{token!r} where {wanted!r} should stand")
        return self.left.pop(0)

    def whole(self) -> Node:
        """A whole formula or an argument: here if needs no brackets."""
        if self.peek() != "if":
            return self.either()
        self.take("if")
        condition = self.either()
        self.take("then")
        yes = self.either()
        self.take("else")
        return ("if", condition, yes, self.either())

    def either(self) -> Node:
        """Conditions joined by or."""
        node = self.both()
        while self.peek() == "or":
            self.take()
            node = ("or", node, self.both())
        return node

    def both(self) -> Node:
        """Conditions joined by and."""
        node = self.negation()
        while self.peek() == "and":
            self.take()
            node = ("and", node, self.negation())
        return node

    def negation(self) -> Node:
        """A condition, or not a condition."""
        if self.peek() == "not":
            self.take()
            return ("not", self.negation())
        return self.comparison()

    def comparison(self) -> Node:
        """Two numbers compared; comparisons do not chain."""
        node = self.addition()
        if self.peek() in COMPARISONS:
            sign = self.take()
            node = (sign, node, self.addition())
            if self.peek() in COMPARISONS:
                raise FormulaError("comparisons do not chain")
        return node

    def addition(self) -> Node:
        """Terms added and taken away."""
        node = self.product()
        while self.peek() in {"+", "-"}:
            sign = self.take()
            node = (sign, node, self.product())
        return node

    def product(self) -> Node:
        """Factors multiplied and divided."""
        node = self.signed()
        while self.peek() in {"*", "/"}:
            sign = self.take()
            node = (sign, node, self.signed())
        return node

    def signed(self) -> Node:
        """A number with its sign."""
        if self.peek() == "-":
            self.take()
            return ("negative", self.signed())
        if self.peek() == "+":
            self.take()
            return ("positive", self.signed())
        return self.atom()

    def atom(self) -> Node:
        """A literal, a name, a function or something in brackets."""
        token = self.take()
        if token == "(":
            node = self.whole()
            self.take(")")
            return node
        if token[-1].isdigit() and not token[0].isalpha():
            return self.number(token)
        if not token[0].isalpha() or token in KEYWORDS | UNITS:
            raise FormulaError(f"{token!r} is no number")
        if token in FUNCTIONS:
            return self.function(token)
        if self.peek() == ".":
            self.take()
            return ("part", token, self.take())
        return ("name", token)

    def number(self, token: str) -> Node:
        """A number with the unit behind it."""
        unit = self.take() if self.peek() == "%" or self.peek() in UNITS - {"yarn"} else ""
        if unit in MM and self.peek() == "yarn":
            unit = f"{unit} {self.take()}"
        amount, dimension = measure(Fraction(token), unit)
        return ("zero",) if amount == 0 and not unit else ("number", amount, dimension)

    def function(self, name: str) -> Node:
        """A function with its arguments."""
        self.take("(")
        arguments = [self.whole()]
        while self.peek() == ",":
            self.take()
            arguments.append(self.whole())
        self.take(")")
        return ("call", name, *arguments)


def read(text: str) -> Node:
    """Read a formula or a condition."""
    if len(text) > 500 or deepest(text) > 50:
        raise FormulaError("too long or too deep")
    reader = Reader(text)
    node = reader.whole()
    if reader.peek() != "":
        raise FormulaError(f"{reader.peek()!r} is left over")
    return node


def deepest(text: str) -> int:
    """How many brackets are open at once."""
    depth = most = 0
    for sign in text:
        depth += (sign == "(") - (sign == ")")
        most = max(most, depth)
    return most


def names(node: Node) -> set[str]:
    """Every value, body measurement, pick-up or curve that a formula needs."""
    if node[0] == "name":
        return {node[1]}
    if node[0] == "part":
        return {f"{node[1]}.{node[2]}"}
    return {
        name
        for child in node[1:]
        if isinstance(child, tuple) and child and isinstance(child[0], str)
        for name in names(child)
    }
