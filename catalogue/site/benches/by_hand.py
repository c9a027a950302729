"""The sheet of `sheets.sheet_document` worked out as somebody would write it with NumPy alone."""

from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from catalogue.site.benches.sheets import PANEL_PARTS

Numbers = NDArray[np.float64]
STITCHES_PER_MM, ROWS_PER_MM = 0.22, 0.30


@dataclass
class HandWork:
    """Exact, worked and ideal numbers by name: lengths in mm, one entry per size."""

    exact: dict[str, Numbers] = field(default_factory=dict)
    worked: dict[str, Numbers] = field(default_factory=dict)
    ideal: dict[str, Numbers] = field(default_factory=dict)


@dataclass(frozen=True)
class HandInput:
    """The body and the listed eases as arrays, ready before the clock starts."""

    bust: Numbers
    waist: Numbers
    back_waist: Numbers
    eases: list[Numbers]


def hand_input(document: dict[str, Any]) -> HandInput:
    """Turn a document's numbers into arrays."""
    body = {name: np.array(one["values"]) * 10.0 for name, one in document["body"].items()}
    listed = [one["list"] for one in document["values"] if one["name"].endswith("_ease")]
    eases = [np.array([float(entry.split()[0]) * 10.0 for entry in entries]) for entries in listed]
    return HandInput(body["bust"], body["waist"], body["back_waist"], eases)


def work_by_hand(given: HandInput) -> HandWork:
    """Work all panels out: once rounded, once with nothing rounded."""
    made = HandWork()
    for at in range(len(given.eases)):
        _panel(made.ideal, None, given, at)
        _panel(made.worked, made.exact, given, at)
    return made


def _panel(found: dict[str, Numbers], exact: dict[str, Numbers] | None, given: HandInput, at: int) -> None:
    """Ten lines of one panel; rounded where exact numbers are kept apart."""
    p, before = f"p{at}_", f"p{at - 1}_"
    ease = given.eases[at]
    target = (
        given.bust / 2 + ease if at % 2 == 0 else np.maximum(found[before + "width"], given.waist / 2) + ease
    )
    cast_on = target * STITCHES_PER_MM
    cast_on_worked = cast_on if exact is None else _rounded(cast_on, 2, 1)
    width = cast_on_worked / STITCHES_PER_MM
    depth = given.back_waist * (1 + at % 5) / 3 + ease / 2
    rows = depth * ROWS_PER_MM
    rows_worked = rows if exact is None else _rounded(rows, 2, 0)
    length = rows_worked / ROWS_PER_MM
    top = np.where(_is_above(width, given.waist * 3 / 4), cast_on_worked * 2 / 3, cast_on_worked - 2)
    top_worked = top if exact is None else _rounded(top, 1, 0)
    lost = np.maximum(cast_on_worked - top_worked, 0)
    lost_worked = lost if exact is None else _rounded(lost, 1, 0)
    slant = np.sqrt(width * width + length * length)
    lines = (ease, target, cast_on_worked, width, depth, rows_worked, length, top_worked, lost_worked, slant)
    found.update(zip(_names(p), lines, strict=True))
    if exact is not None:
        unrounded = (ease, target, cast_on, width, depth, rows, length, top, lost, slant)
        exact.update(zip(_names(p), unrounded, strict=True))


def _names(panel: str) -> list[str]:
    """The names of a panel's lines."""
    return [panel + part for part in PANEL_PARTS]


def _rounded(exact: Numbers, multiple: float, plus: float) -> Numbers:
    """The nearest multiple plus something, ties up."""
    steps = np.floor((exact - plus) / multiple + 0.5 + 1e-9)
    return multiple * (np.maximum(steps, 0) if plus > 0 else steps) + plus


def _is_above(one: Numbers, other: Numbers) -> NDArray[np.bool_]:
    """Whether a number is greater by more than the tolerance of comparisons."""
    slack = 1e-9 * np.maximum(1.0, np.maximum(np.abs(one), np.abs(other)))
    return one - other > slack
