"""Work out the dimension of a formula, or say that it has none."""

from collections.abc import Mapping
from typing import cast

from tests.grading.oracle.formulas import COMPARISONS, PLAIN, ROW, STITCH, Dimension, FormulaError, Node

ROUNDED = {"round", "even", "odd"}


def unify(first: Dimension | None, second: Dimension | None) -> Dimension | None:
    """Both dimensions must agree; the literal 0, which has none, takes its partner's."""
    if first is None:
        return second or PLAIN
    if second is None or first == second:
        return first
    raise FormulaError("different dimensions")


def check_condition(node: Node, known: Mapping[str, Dimension]) -> None:
    """A condition compares numbers of one dimension."""
    if node[0] in {"and", "or", "not"}:
        for child in node[1:]:
            check_condition(child, known)
    elif node[0] in COMPARISONS:
        unify(dimension(node[1], known), dimension(node[2], known))
    else:
        raise FormulaError("a number is no condition")


def dimension(node: Node, known: Mapping[str, Dimension]) -> Dimension | None:
    """The dimension of a formula; None for the literal 0."""
    match node:
        case ("zero",):
            return None
        case ("number", _, found):
            return cast("Dimension", found)
        case ("name", name) if name in known:
            return known[name]
        case ("part", owner, part) if f"{owner}.{part}" in known:
            return known[f"{owner}.{part}"]
        case ("negative" | "positive", inner):
            return dimension(inner, known) or PLAIN  # only the literal 0 itself fits anywhere
        case ("+" | "-", first, second):
            return unify(dimension(first, known), dimension(second, known))
        case ("*" | "/" as sign, first, second):
            left, right = dimension(first, known) or PLAIN, dimension(second, known) or PLAIN
            turn = 1 if sign == "*" else -1
            a, b, c, d, e = (one + turn * other for one, other in zip(left, right, strict=True))
            return (a, b, c, d, e)
        case ("if", condition, yes, no):
            check_condition(condition, known)
            return unify(dimension(yes, known), dimension(no, known))
        case ("call", name, *arguments):
            return of_call(name, [dimension(argument, known) for argument in arguments])
    raise FormulaError(f"no number: {node}")


def of_call(name: str, given: list[Dimension | None]) -> Dimension | None:
    """The dimension that a function makes of its arguments."""
    whole = {PLAIN, STITCH, ROW, None}
    if name in {"min", "max", "sum"} and len(given) >= 2:
        found: Dimension | None = None
        for one in given:
            found = one if found is None else unify(found, one)
        return found or PLAIN
    if name == "abs" and len(given) == 1:
        return given[0] or PLAIN
    if name == "sqrt" and len(given) == 1:
        if any(exponent % 2 for exponent in given[0] or PLAIN):
            raise FormulaError("odd exponent")
        a, b, c, d, e = (exponent // 2 for exponent in given[0] or PLAIN)
        return (a, b, c, d, e)
    if name in ROUNDED and len(given) == 1 and given[0] in whole:
        return given[0] or PLAIN
    if name in {"ceiling", "floor"} and len(given) == 2:
        return unify(given[0], given[1])
    if name in {"ceiling", "floor"} and len(given) == 1 and given[0] in whole:
        return given[0] or PLAIN
    raise FormulaError(f"{name} can't take these")
