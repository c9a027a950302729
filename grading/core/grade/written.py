"""Graded patterns as text and back: to the last bit, so that nothing is graded twice."""

import json
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from typing import Any

import numpy as np

from grading.core.grade.grade import Graded, GradedValue
from grading.core.grade.joins import JoinLengths
from grading.core.pattern.pattern import PatternFile
from grading.core.shaping.curves import CurvePlan
from grading.core.shaping.pick_ups import PickUpPlan, Ratio
from grading.core.shaping.shaping import ShapingPlan
from grading.core.shaping.spreads import SpreadPlan
from grading.core.sheet.findings import Finding
from grading.core.yarn.needs import ColourNeed, CombinedNeed

# What results are made of: nothing else is ever made of a text that is read.
KINDS: dict[str, type[Any]] = {
    kind.__name__: kind
    for kind in (
        ColourNeed,
        CombinedNeed,
        CurvePlan,
        Finding,
        GradedValue,
        JoinLengths,
        PickUpPlan,
        Ratio,
        ShapingPlan,
        SpreadPlan,
    )
}
PLAIN = (str, int, float, type(None))
PARTS = tuple(part.name for part in fields(Graded) if part.name not in ("pattern", "sizes"))


def write_graded(graded: Graded) -> str:
    """Write down all that grading made of a pattern.

    Args:
        graded: A graded pattern.

    Returns:
        JSON. Python writes every float as its shortest text that reads back to the same float, NaN as `NaN`.

    Raises:
        TypeError: A result holds something of a kind that is not foreseen.
    """
    return json.dumps({part: _written(getattr(graded, part)) for part in PARTS}, separators=(",", ":"))


def read_graded(pattern: PatternFile, text: str) -> Graded:
    """Read back what grading made of a pattern.

    Args:
        pattern: The pattern that was graded.
        text: What `write_graded` made.

    Returns:
        The same numbers, bit by bit, and findings.

    Raises:
        ValueError: The text is not what `write_graded` makes.
    """
    try:
        written = json.loads(text)
        return Graded(pattern, pattern.sizes, **{part: _read(written[part]) for part in PARTS})
    except (AttributeError, IndexError, KeyError, TypeError) as problem:
        raise ValueError(f"This is no graded pattern: {problem}.") from None


def _written(value: Any) -> Any:
    """Return a value as JSON: plain ones as they are, all others as a list that begins with their kind."""
    if isinstance(value, np.ndarray):
        return ["array", str(value.dtype), list(value.shape), value.ravel().tolist()]
    if isinstance(value, np.generic):
        return _written(value.item())
    if isinstance(value, PLAIN):
        return value
    if isinstance(value, Mapping):
        return ["map", [[_written(key), _written(part)] for key, part in value.items()]]
    if isinstance(value, tuple | list):
        return [type(value).__name__, [_written(part) for part in value]]
    if is_dataclass(value) and KINDS.get(type(value).__name__) is type(value):
        return [type(value).__name__, [_written(getattr(value, part.name)) for part in fields(value)]]
    raise TypeError(f"{type(value).__name__} can't be written down as part of a graded pattern.")


def _read(written: Any) -> Any:
    """Return a value from its JSON."""
    if not isinstance(written, list):
        return written
    kind, *of = written
    if kind == "array":
        dtype, shape, numbers = of
        return np.array(numbers, dtype=dtype).reshape(shape)
    parts = of[0]
    if kind == "map":
        return {_read(key): _read(part) for key, part in parts}
    read = [_read(part) for part in parts]
    if kind in ("tuple", "list"):
        return tuple(read) if kind == "tuple" else read
    made = KINDS[kind]
    return made(**{part.name: one for part, one in zip(fields(made), read, strict=True)})
