"""Formulas: from the text as typed to a tree, with limits and one clear sentence for each mistake."""

import re
from functools import lru_cache
from typing import NamedTuple

from grading.core.formula.errors import FormulaError
from grading.core.formula.literals import FUNCTIONS, KEYWORDS, LENGTH_UNITS_MM, UNITS, in_unit
from grading.core.formula.tree import (
    COMPARISONS,
    Expression,
    Formula,
    Name,
    Number,
    Operation,
    Span,
    error_at,
)

MOST_CHARACTERS = 500
MOST_NODES = 200
MOST_NESTING = 50
LARGEST_NUMBER = 1_000_000_000

FABRIC_PARTS = ("stitches", "rows", "multiple", "plus")
NAME_PARTS = (*FABRIC_PARTS, "length")


class Token(NamedTuple):
    """A piece of the text: number, word, sign or end."""

    kind: str
    text: str
    start: int
    end: int


_TOKEN = re.compile(
    r"(?P<number>[0-9]+(?:\.[0-9]+)?|\.[0-9]+)|(?P<word>[A-Za-z_][A-Za-z0-9_]*)"
    r"|(?P<sign><=|>=|<>|[-+*/(),.<>=%])|(?P<space>[ \t\r\n]+)",
    re.ASCII,
)
_STRAYS = {
    "×": "Write * for times.",
    "÷": "Write / for divided by.",
    "−": "Write the minus sign as -.",
    "–": "Write the minus sign as -.",
    "^": "There are no powers; write a * a.",
    "≤": "Write <= for at most.",
    "≥": "Write >= for at least.",
    "≠": "Write <> for not equal.",
}


def parse_formula(text: str) -> Formula:
    """Read a formula.

    Args:
        text: The formula as typed: at most 500 characters, 200 nodes, 50 brackets deep.

    Returns:
        The tree and the names in it; the same text is read once only.

    Raises:
        FormulaError: The text cannot be read or is over a limit.

    Source: derived (ordinary school algebra).

    >>> parse_formula("bust + 2 * ease").names
    ('bust', 'ease')
    """
    if len(text) > MOST_CHARACTERS:
        raise FormulaError(
            f"The formula has {len(text)} characters; at most {MOST_CHARACTERS} are read. Split it in two."
        )
    read = _read(text)
    if isinstance(read, FormulaError):
        raise FormulaError(read.says, read.line, read.column)
    return read


@lru_cache(maxsize=8192)
def _read(text: str) -> Formula | FormulaError:
    """Read a formula of allowed length, keeping what was found, error or not."""
    try:
        parser = _Parser(text, _tokens(text))
        return Formula(text, parser.whole(), tuple(parser.names))
    except FormulaError as error:
        return error.with_traceback(None)


def _tokens(text: str) -> list[Token]:
    """Cut the text into tokens."""
    tokens, offset = [], 0
    while offset < len(text):
        found = _TOKEN.match(text, offset)
        if found is None:
            raise error_at(text, _stray(text[offset]), offset)
        if found.lastgroup != "space":
            tokens.append(Token(str(found.lastgroup), found[0], offset, found.end()))
        offset = found.end()
    tokens.append(Token("end", "", len(text), len(text)))
    return tokens


def _stray(character: str) -> str:
    """Say that a character has no meaning in a formula."""
    if character.isdigit() or character.isnumeric():
        return f"Write numbers with the digits 0 to 9; “{character}” is not read."
    if character in "'\"`“”‘’":
        return "A formula can’t contain text in quotes."
    shown = (
        f"“{character}”" if character.isprintable() else f"An invisible character (U+{ord(character):04X})"
    )
    return f"{shown} has no meaning in a formula. {_STRAYS.get(character, 'Take it out.')}"


_LOOSENESS = {"or": 1, "and": 2, **dict.fromkeys(COMPARISONS, 4), "+": 5, "-": 5, "*": 6, "/": 6}
_NOT, _ADDITION, _SIGN = 3, 5, 7


class _Parser:
    """Reads tokens by precedence, loosest first; nesting is bounded, so recursion is too."""

    def __init__(self, text: str, tokens: list[Token]) -> None:
        self.text, self.tokens = text, tokens
        self.at = self.nodes = self.depth = 0
        self.names: dict[str, None] = {}

    @property
    def token(self) -> Token:
        return self.tokens[self.at]

    def fail(self, says: str, token: Token | None = None) -> FormulaError:
        return error_at(self.text, says, (token or self.token).start)

    def take(self) -> Token:
        self.at += 1
        return self.tokens[self.at - 1]

    def expect(self, text: str, after: str) -> Token:
        if self.token.text != text:
            raise self.fail(f"“{text}” is missing after {after}{self.found()}.")
        return self.take()

    def found(self) -> str:
        return "" if self.token.kind == "end" else f"; “{self.token.text}” is there instead"

    def node(self, made: Expression) -> Expression:
        self.nodes += 1
        if self.nodes > MOST_NODES:
            raise error_at(self.text, f"The formula has more than {MOST_NODES} parts. Split it in two.", 0)
        return made

    def deeper(self) -> None:
        self.depth += 1
        if self.depth > MOST_NESTING:
            raise self.fail(f"The formula is nested more than {MOST_NESTING} deep. Split it in two.")

    def whole(self) -> Expression:
        if self.token.kind == "end":
            raise self.fail("The formula is empty.")
        tree = self.entry()
        if self.token.kind != "end":
            raise self.fail(self.unexpected())
        return tree

    def unexpected(self) -> str:
        shown = self.token.text
        if shown == ",":
            return "Use a comma only between the arguments of a function. Write decimals with a point."
        if shown == "%":
            return "Use % only after a number; there is no remainder operator."
        if shown in (".", "="):
            return f"“{shown}” can’t be used here."
        if self.token.kind in ("number", "word"):
            return f"An operator is missing before “{shown}”."
        return f"“{shown}” can’t be used here."

    def entry(self) -> Expression:
        """Read a whole formula or argument, where `if` needs no brackets."""
        return self.choice() if self.token.text == "if" else self.expression(1)

    def choice(self) -> Expression:
        self.deeper()
        start = self.take().start
        condition = self.expression(1)
        self.expect("then", "the condition of “if”")
        taken = self.expression(1)
        self.expect("else", "the first branch of “if”")
        other = self.entry()
        self.depth -= 1
        span = Span(start, self.tokens[self.at - 1].end)
        return self.node(Operation("if", (condition, taken, other), span))

    def expression(self, loosest: int) -> Expression:
        left = self.unary(loosest)
        while (strength := _LOOSENESS.get(self.token.text, 0)) >= loosest:
            sign = self.take().text
            right = self.expression(strength + 1)
            span = Span(left.span.start, self.tokens[self.at - 1].end)
            left = self.node(Operation(sign, (left, right), span))
            if strength == 4 and _LOOSENESS.get(self.token.text) == 4:
                raise self.fail("Comparisons do not chain; join two of them with “and”.")
        return left

    def unary(self, loosest: int) -> Expression:
        token = self.token
        if token.text == "not":
            if loosest > _NOT:
                raise self.fail("Put brackets round “not …” here.")
            return self.signed("not", _NOT)
        if token.text in ("-", "+") and token.kind == "sign":
            return self.signed("neg" if token.text == "-" else "pos", _SIGN)
        return self.atom()

    def signed(self, sign: str, strength: int) -> Expression:
        self.deeper()
        start = self.take().start
        part = self.unary(strength) if strength == _SIGN else self.expression(strength)
        self.depth -= 1
        return self.node(Operation(sign, (part,), Span(start, self.tokens[self.at - 1].end)))

    def atom(self) -> Expression:
        token = self.token
        if token.kind == "number":
            return self.number()
        if token.text == "(":
            return self.bracket()
        if token.kind == "word":
            return self.word()
        if token.kind == "end":
            raise self.fail("The formula ends where a number or a name is expected.")
        if token.text == "*" and self.tokens[self.at - 1].text == "*":
            raise self.fail("There are no powers; write a * a.")
        raise self.fail(f"A number or a name is needed here, not “{token.text}”.")

    def bracket(self) -> Expression:
        self.deeper()
        opening = self.take()
        inner = self.entry()
        if self.token.text != ")":
            if self.token.kind == "end":
                raise self.fail("This bracket is never closed.", opening)
            raise self.fail(self.unexpected())
        self.take()
        self.depth -= 1
        return inner

    def number(self) -> Expression:
        digits = self.take()
        unit, end = self.unit()
        quantity = in_unit(digits.text, unit)
        if quantity is None or float(digits.text) >= LARGEST_NUMBER:
            raise self.fail(f"A number in a formula is below {LARGEST_NUMBER:,}.", digits)
        span = Span(digits.start, end or digits.end)
        return self.node(Number(quantity.number, quantity.dimension, span, bare=not unit))

    def unit(self) -> tuple[str, int]:
        """Take the unit after a number, if there is one."""
        token = self.token
        if token.text not in UNITS:
            if token.kind == "word" and token.text not in KEYWORDS:
                raise self.fail(f"“{token.text}” is not a unit, and an operator is missing before it.")
            return "", 0
        self.take()
        if token.text in LENGTH_UNITS_MM and self.token.text == "yarn":
            return f"{token.text} yarn", self.take().end
        return token.text, token.end

    def word(self) -> Expression:
        token = self.take()
        if token.text in FUNCTIONS:
            return self.call(token)
        if token.text in UNITS or token.text == "yarn":
            raise self.fail(f"“{token.text}” is a unit and needs a number before it.", token)
        if token.text == "if":
            raise self.fail("Put brackets round “if … then … else …” here.", token)
        if token.text in ("true", "false"):
            raise self.fail("True and false are not values: write a comparison.", token)
        if token.text in KEYWORDS and token.text != "size_number":
            raise self.fail(f"A number or a name is needed here, not “{token.text}”.", token)
        if self.token.text == "(":
            raise self.fail(f"There is no function “{token.text}”; there are {_listed()}.", token)
        return self.reference(token)

    def reference(self, token: Token) -> Expression:
        name, end = token.text, token.end
        if self.token.text == ".":
            self.take()
            part = self.token
            if part.text not in NAME_PARTS:
                raise self.fail(
                    "After a point write stitches, rows, multiple or plus (of a fabric), "
                    "or length (of a curve)."
                )
            self.take()
            name, end = f"{name}.{part.text}", part.end
        self.names[name] = None
        return self.node(Name(name, Span(token.start, end)))

    def call(self, token: Token) -> Expression:
        if self.token.text != "(":
            raise self.fail(f"“{token.text}” is a function and needs brackets.", token)
        self.deeper()
        self.take()
        arguments = [self.entry()]
        while self.token.text == ",":
            self.take()
            arguments.append(self.entry())
        if self.token.text != ")":
            raise self.fail(f"The bracket of “{token.text}” is never closed{self.found()}.")
        end = self.take().end
        self.depth -= 1
        self.check_number_of_arguments(token, len(arguments))
        return self.node(Operation(token.text, tuple(arguments), Span(token.start, end)))

    def check_number_of_arguments(self, token: Token, given: int) -> None:
        least, most = _ARGUMENTS.get(token.text, (1, 1))
        if least <= given <= most:
            return
        if least == 2:
            wanted = "two or more arguments"
        else:
            wanted = "one or two arguments" if most == 2 else "one argument"
        raise self.fail(f"“{token.text}” takes {wanted}, not {given}.", token)


_ARGUMENTS = {
    **dict.fromkeys(("min", "max", "sum"), (2, MOST_NODES)),
    **dict.fromkeys(("ceiling", "floor"), (1, 2)),
}


def _listed() -> str:
    """List the functions."""
    return ", ".join(sorted(FUNCTIONS))
