"""Rounding to what can be worked, and the rounding functions of formulas."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

# So that 10.4999999999 and 10.5 do not disagree by accident.
TOLERANCE = 1e-9

Numbers = NDArray[np.float64]
Direction = Literal["nearest", "up", "down"]


@dataclass(frozen=True, slots=True)
class WorkableStep:
    """Which numbers can be worked: multiple × k + plus, k whole, and 0 or more when plus is above 0."""

    to: Direction = "nearest"
    multiple: float = 1.0
    plus: float = 0.0


WHOLE = WorkableStep()


def round_to_workable(exact: Numbers, step: WorkableStep) -> Numbers:
    """Round to multiple × k + plus.

    Args:
        exact: One number per size; NaN stays NaN.
        step: Direction, multiple (above 0) and plus, in the unit of the numbers.

    Returns:
        The workable numbers: nearest (ties up), up or down, forgiving 1e-9 of a multiple.

    Source: common practice (multiple of M plus P).

    >>> round_to_workable(np.array([93.6]), WorkableStep("nearest", 6, 1)).tolist()
    [91.0]
    """
    times = (exact - step.plus) / step.multiple if step.plus or step.multiple != 1.0 else exact
    if step.to == "nearest":
        times = np.floor(times + (0.5 + TOLERANCE))
    elif step.to == "up":
        times = np.ceil(times - TOLERANCE)
    else:
        times = np.floor(times + TOLERANCE)
    if step.plus > 0:
        times = np.maximum(times, 0.0)
    if step.plus or step.multiple != 1.0:
        return np.asarray(times * step.multiple + step.plus)
    return times + 0.0


def round_half_away(number: Numbers) -> Numbers:
    """Round to whole numbers, ties away from zero.

    Args:
        number: Any shape.

    Returns:
        Whole numbers, same shape.

    Source: OpenFormula 1.2 (OASIS), section 6.17.5 ROUND; section number from memory.

    >>> round_half_away(np.array([2.5, -2.5, 2.4])).tolist()
    [3.0, -3.0, 2.0]
    """
    return np.asarray(np.copysign(np.floor(np.abs(number) + (0.5 + TOLERANCE)), number) + 0.0)


def round_to_even(number: Numbers) -> Numbers:
    """Round to even numbers, away from zero.

    Args:
        number: Any shape.

    Returns:
        Even whole numbers, same shape.

    Source: OpenFormula 1.2 (OASIS), EVEN.

    >>> round_to_even(np.array([1.5, -1.0, 2.0, 0.0])).tolist()
    [2.0, -2.0, 2.0, 0.0]
    """
    return np.asarray(np.copysign(2 * np.ceil((np.abs(number) - TOLERANCE) / 2), number) + 0.0)


def round_to_odd(number: Numbers) -> Numbers:
    """Round to odd numbers, away from zero; 0 gives 1.

    Args:
        number: Any shape.

    Returns:
        Odd whole numbers, same shape.

    Source: OpenFormula 1.2 (OASIS), ODD.

    >>> round_to_odd(np.array([1.0, 1.5, -2.0, 0.0])).tolist()
    [1.0, 3.0, -3.0, 1.0]
    """
    odd = 2 * np.ceil((np.abs(number) - 1 - TOLERANCE) / 2).clip(0) + 1
    return np.asarray(np.copysign(odd, number + 0.0))  # + 0.0 makes 0 of −0


def ceiling(number: Numbers, multiple: Numbers | float = 1.0) -> Numbers:
    """Round up to a multiple.

    Args:
        number: Any shape.
        multiple: Not 0; its sign does not matter.

    Returns:
        The least multiple that is not below the number, forgiving 1e-9; NaN where the multiple is 0.

    Source: OpenFormula 1.2 (OASIS), CEILING without a mode.

    >>> ceiling(np.array([2.1, -2.5]), 1.0).tolist()
    [3.0, -2.0]
    """
    return np.asarray(np.ceil(number / np.abs(multiple) - TOLERANCE) * np.abs(multiple) + 0.0)


def floor(number: Numbers, multiple: Numbers | float = 1.0) -> Numbers:
    """Round down to a multiple.

    Args:
        number: Any shape.
        multiple: Not 0; its sign does not matter.

    Returns:
        The greatest multiple that is not above the number, forgiving 1e-9; NaN where the multiple is 0.

    Source: OpenFormula 1.2 (OASIS), FLOOR without a mode.

    >>> floor(np.array([2.9, -2.5]), 1.0).tolist()
    [2.0, -3.0]
    """
    return np.asarray(np.floor(number / np.abs(multiple) + TOLERANCE) * np.abs(multiple) + 0.0)
