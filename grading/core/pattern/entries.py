"""Single entries of a pattern file: literals of a kind, lists, steps, roundings."""

from collections.abc import Sequence
from typing import Any

from grading.core.formula.dimensions import COUNT_KINDS, KINDS, PLAIN, UNIT_KINDS, YARN, describe
from grading.core.formula.errors import FormulaError, PatternFileError
from grading.core.formula.literals import LARGEST, LENGTH_UNITS_MM, MOST_DECIMALS, parse_literal
from grading.core.pattern.pattern import Entries, Rounding, When

_EXAMPLES = {"length": "12 cm", "weight": "50 g", "yarn": "80 m yarn"}


def read_number(entry: float, path: str) -> float:
    """Return a bare number after checking its precision and size.

    Raises:
        PatternFileError: More than 6 decimals, or too large.
    """
    if not abs(entry) <= LARGEST:
        raise PatternFileError(path, f"{entry:g} is out of range; the most allowed is {LARGEST:,}.")
    if round(entry, MOST_DECIMALS) != entry:
        raise PatternFileError(path, f"{entry!r} has more than {MOST_DECIMALS} decimals.")
    return float(entry) + 0.0


def read_quantity(entry: Any, kind: str, path: str) -> float:
    """Return a literal of a kind in mm, g, m or counts.

    Args:
        entry: "12 cm", or a bare number where the kind has no unit.
        kind: A kind of value.
        path: JSON path, for the error.

    Returns:
        The number.

    Raises:
        PatternFileError: It is bare where a unit is needed, or of another kind.

    Source: derived.

    >>> read_quantity("12 cm", "length", "$")
    120.0
    """
    if isinstance(entry, (int, float)):
        if kind in UNIT_KINDS:
            raise PatternFileError(
                path, f"{entry:g} has no unit; write the {kind} with its unit, as in “{_EXAMPLES[kind]}”."
            )
        return read_number(entry, path)
    try:
        quantity = parse_literal(entry)
    except FormulaError as error:
        raise PatternFileError(path, error.says) from None
    if quantity.dimension == KINDS[kind] or (quantity.dimension == PLAIN and kind not in UNIT_KINDS):
        return quantity.number
    raise PatternFileError(path, f"“{entry}” is {describe(quantity.dimension)}, but {_noun(kind)} is wanted.")


def _noun(kind: str) -> str:
    """Name what an entry of a kind is."""
    return {"length": "a length", "weight": "a weight", "yarn": "a length of yarn"}.get(kind, kind)


def read_yarn_length(entry: str, path: str) -> float:
    """Return metres of yarn; here a length is a length of yarn.

    Raises:
        PatternFileError: It is no length above 0.
    """
    try:
        quantity = parse_literal(entry)
    except FormulaError as error:
        raise PatternFileError(path, error.says) from None
    if quantity.dimension == YARN:
        metres = quantity.number
    elif entry.split()[-1] in LENGTH_UNITS_MM or quantity.dimension == KINDS["length"]:
        metres = quantity.number / 1000
    else:
        raise PatternFileError(path, f"“{entry}” is not a length of yarn, such as “220 m”.")
    if metres <= 0:
        raise PatternFileError(path, "The length of yarn must be above 0.")
    return metres


def read_weight(entry: str, path: str) -> float:
    """Return grams above 0.

    Raises:
        PatternFileError: It is no weight above 0.
    """
    grams = read_quantity(entry, "weight", path)
    if grams <= 0:
        raise PatternFileError(path, f"The weight must be above 0, not “{entry}”.")
    return grams


def read_share(entry: Any, path: str, noun: str = "allowance") -> float:
    """Return an allowance or tolerance: a plain number or per cent, 0 or more.

    Raises:
        PatternFileError: It is below 0 or has a unit.
    """
    share = read_quantity(entry, "ratio", path)
    if share < 0:
        raise PatternFileError(path, f"The {noun} must be 0 or more.")
    return share


def read_list(entries: Sequence[Any], kind: str, sizes: int, path: str) -> Entries:
    """Return a list of one entry per size, None for null.

    Raises:
        PatternFileError: The number of entries is wrong, or an entry does not fit.
    """
    require_count(entries, sizes, path)
    return tuple(
        None if entry is None else read_quantity(entry, kind, f"{path}[{i}]")
        for i, entry in enumerate(entries)
    )


def require_count(entries: Sequence[Any], wanted: int, path: str) -> None:
    """Raise unless there are as many entries as wanted.

    Raises:
        PatternFileError: Names both numbers.
    """
    if len(entries) != wanted:
        there = "is 1 entry" if len(entries) == 1 else f"are {len(entries)} entries"
        needed = "1 is" if wanted == 1 else f"{wanted} are"
        raise PatternFileError(path, f"There {there} where {needed} needed.")


def read_steps(typed: dict[str, Any], kind: str, sizes: Sequence[str], path: str) -> Entries:
    """Return the numbers that steps from a base size add up to.

    Args:
        typed: base_size, base, step (one less than there are sizes).
        kind: Kind of the value.
        sizes: Labels, smallest first.
        path: JSON path of the steps.

    Returns:
        One number per size.

    Raises:
        PatternFileError: An unknown base size, a wrong number of steps, a wrong literal.

    Source: common practice (grading by increments).

    >>> read_steps({"base_size": "M", "base": 10, "step": [1, 2]}, "rows", ["S", "M", "L"], "$")
    (9.0, 10.0, 12.0)
    """
    if typed["base_size"] not in sizes:
        raise PatternFileError(f"{path}.base_size", f"“{typed['base_size']}” is not one of the sizes.")
    require_count(typed["step"], len(sizes) - 1, f"{path}.step")
    at = sizes.index(typed["base_size"])
    base = read_quantity(typed["base"], kind, f"{path}.base")
    steps = [read_quantity(step, kind, f"{path}.step[{i}]") for i, step in enumerate(typed["step"])]
    numbers = [base] * len(sizes)
    for i in range(at, len(steps)):
        numbers[i + 1] = numbers[i] + steps[i]
    for i in range(at - 1, -1, -1):
        numbers[i] = numbers[i + 1] - steps[i]
    return tuple(round(number, 9) + 0.0 for number in numbers)


def read_rounding(typed: dict[str, Any], kind: str, path: str) -> Rounding:
    """Return how a value is rounded.

    Raises:
        PatternFileError: A multiple that is missing, not above 0, or not whole where counts are.
    """
    if "fabric" in typed:
        if kind != "stitches":
            raise PatternFileError(f"{path}.fabric", "Only stitches are rounded to a fabric's multiple.")
        return Rounding(typed["to"], fabric=typed["fabric"])
    if "multiple" not in typed and kind not in COUNT_KINDS:
        raise PatternFileError(
            path, "“multiple” is missing: only stitches, rows and counts are rounded to 1."
        )
    multiple = read_quantity(typed.get("multiple", 1), kind, f"{path}.multiple")
    plus = read_quantity(typed["plus"], kind, f"{path}.plus") if "plus" in typed else 0.0
    if multiple <= 0:
        raise PatternFileError(f"{path}.multiple", "The multiple must be above 0.")
    for key, number in (("multiple", multiple), ("plus", plus)):
        if kind in COUNT_KINDS and number != round(number):
            raise PatternFileError(f"{path}.{key}", f"Whole {kind} cannot be counted in steps of {number:g}.")
    return Rounding(typed["to"], multiple, plus)


def read_when(typed: dict[str, Any] | None) -> When:
    """Return the options and choices under which something is made."""
    return tuple(
        (option, (choices,) if isinstance(choices, str) else tuple(choices))
        for option, choices in (typed or {}).items()
    )


def read_swatch_weight(typed: dict[str, Any], path: str) -> float:
    """Return the weight of a swatch in grams."""
    return read_weight(typed["weight"], f"{path}.weight")
