"""Work out one formula for one size, in fractions; None is no number."""

import math
from collections.abc import Callable
from fractions import Fraction
from typing import Any, TypeAlias

from tests.grading.oracle.formulas import Node

Number: TypeAlias = Fraction | None
Lookup: TypeAlias = Callable[[str], Number]

TOLERANCE = Fraction(1, 10**9)
HALF = Fraction(1, 2)


class NoResultError(Exception):
    """Division by zero or the root of a negative."""


def near(first: Fraction, second: Fraction) -> bool:
    """Equal within a billionth, or a billionth of the larger."""
    return abs(first - second) <= TOLERANCE * max(Fraction(1), abs(first), abs(second))


def nearest(number: Fraction) -> int:
    """The nearest whole number, ties up, a billionth below a tie still being one."""
    return math.floor(number + HALF + TOLERANCE)


def away(number: Fraction, step: int, offset: int) -> Fraction:
    """The next step * k + offset (even or odd), away from zero."""
    size = abs(number)
    whole = step * math.ceil((size - offset) / step - TOLERANCE) + offset
    return Fraction(-whole if number < 0 else whole)


def divide(first: Fraction, second: Fraction) -> Fraction:
    """Divide, or say that it can't be done."""
    if second == 0:
        raise NoResultError
    return first / second


def root(number: Fraction) -> Fraction:
    """The square root, or none of a negative."""
    if number < 0:
        raise NoResultError
    return Fraction(math.sqrt(number))


def call(name: str, given: list[Fraction]) -> Fraction:
    """Work out one function."""
    first = given[0]
    if name in {"min", "max", "sum"}:
        functions: dict[str, Any] = {"min": min, "max": max, "sum": sum}
        return Fraction(functions[name](given))
    if name == "abs":
        return abs(first)
    if name == "sqrt":
        return root(first)
    if name == "round":
        return Fraction(nearest(first) if first >= 0 else -nearest(-first))
    if name in {"even", "odd"}:
        return away(first, 2, 1 if name == "odd" else 0)
    multiple = abs(given[1]) if len(given) > 1 else Fraction(1)
    steps = divide(first, multiple)
    if name == "ceiling":
        return multiple * math.ceil(steps - TOLERANCE)
    return multiple * math.floor(steps + TOLERANCE)


ROUNDING = {"round", "even", "odd", "ceiling", "floor"}


def evaluate(node: Node, look_up: Lookup, *, unrounded: bool = False) -> Number:
    """Work out a formula; whatever is made from no number is no number.

    `unrounded` leaves out the rounding functions too, for the sheet with nothing rounded at all.
    """
    if unrounded:
        node = without_rounding(node)
    match node:
        case ("zero",):
            return Fraction(0)
        case ("number", amount, _):
            return Fraction(amount)
        case ("name", name):
            return look_up(name)
        case ("part", owner, part):
            return look_up(f"{owner}.{part}")
        case ("if", condition, yes, no):
            answer = holds(condition, look_up)
            return None if answer is None else evaluate(yes if answer else no, look_up)
        case ("call", _, *arguments) | (_, *arguments):
            return combine(node, [evaluate(argument, look_up) for argument in arguments])
    raise AssertionError(node)


def combine(node: Node, given: list[Number]) -> Number:
    """Work out a function, a sign or an operator of numbers that are known, or not."""
    present = [number for number in given if number is not None]
    if len(present) < len(given):
        return None
    match node[0]:
        case "call":
            return call(node[1], present)
        case "negative":
            return -present[0]
        case "positive":
            return present[0]
        case "/":
            return divide(*present)
    first, second = present
    return {"+": first + second, "-": first - second, "*": first * second}[node[0]]


def without_rounding(node: Node) -> Node:
    """The same formula, with what stands inside a rounding function in its place."""
    if node[0] == "call" and node[1] in ROUNDING:
        return without_rounding(node[2])
    return tuple(
        without_rounding(child) if isinstance(child, tuple) and child and isinstance(child[0], str) else child
        for child in node
    )


def holds(node: Node, look_up: Lookup) -> bool | None:
    """Whether a condition holds; None where something in it is no number."""
    if node[0] in {"and", "or", "not"}:
        answers = [holds(child, look_up) for child in node[1:]]
        if None in answers:
            return None
        if node[0] == "not":
            return not answers[0]
        return all(answers) if node[0] == "and" else any(answers)
    first, second = evaluate(node[1], look_up), evaluate(node[2], look_up)
    if first is None or second is None:
        return None
    same = near(first, second)
    return {
        "=": same,
        "<>": not same,
        "<": first < second and not same,
        ">": first > second and not same,
        "<=": first < second or same,
        ">=": first > second or same,
    }[node[0]]
