"""Scales that drawings are made to: 1 to so many."""

from dataclasses import dataclass
from math import inf

SCALES = (1, 2, 2.5, 4, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100)


@dataclass(frozen=True)
class Room:
    """How much of their room drawings take at the most; how wide, in mm, the largest piece is at the least.

    They are drawn no smaller than 1 to `smallest`.
    """

    share: float = 1.0
    least_mm: float = 0.0
    smallest: float = inf


ALL_ROOM = Room()


def scale_number(told: str) -> float:
    """A scale as it is told.

    >>> scale_number("1 : 2.5")
    2.5
    """
    return float(told.removeprefix("1 : "))


def scales_between(least: float, most: float) -> tuple[float, ...]:
    """The scales from one to another, the largest drawing first."""
    return tuple(scale for scale in SCALES if least <= scale <= most)
