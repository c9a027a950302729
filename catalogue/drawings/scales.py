"""Scales that drawings are made to: 1 to so many."""

SCALES = (1, 2, 2.5, 4, 5, 8, 10, 12, 15, 20, 25, 30, 40, 50, 60, 80, 100)


def scales_between(least: float, most: float) -> tuple[float, ...]:
    """The scales from one to another, the largest drawing first."""
    return tuple(scale for scale in SCALES if least <= scale <= most)
