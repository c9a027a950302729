"""How fine a yarn is, in the ways it is sold: metres in 100 g, tex, counts; yards and ounces."""

from collections.abc import Sequence

from grading.core.formula.literals import G_PER_OUNCE, LENGTH_UNITS_MM

YARD_M = LENGTH_UNITS_MM["yd"] / 1000
POUND_G = 16 * G_PER_OUNCE
# Grams in 1000 m for 1 of each unit of weight by length (ISO 1144, as GNU units 2.22 and others have it).
TEX = {"tex": 1.0, "dtex": 0.1, "drex": 0.1, "denier": 1 / 9}
# Metres in 1 g for a count of 1: metric; hanks of 840 yards (cotton), of 560 yards (worsted) to the pound.
COUNTS_M_PER_G = {"Nm": 1.0, "NeC": 840 * YARD_M / POUND_G, "worsted": 560 * YARD_M / POUND_G}


def metres_per_100g(length_m: float, weight_g: float) -> float:
    """Return how long 100 g of a yarn are.

    Args:
        length_m: Length of a ball in m.
        weight_g: Its weight in g, above 0.

    Returns:
        Metres in 100 g.

    Source: derived.

    >>> metres_per_100g(200, 50)
    400.0
    """
    return length_m * 100 / weight_g


def metres_per_100g_of_tex(amount: float, unit: str = "tex") -> float:
    """Return how long 100 g of a yarn are whose weight by length is given.

    Args:
        amount: As 250 in "250 tex", above 0.
        unit: tex, dtex, drex or denier.

    Returns:
        Metres in 100 g.

    Source: ISO 1144 (tex system), not from its own text.

    >>> metres_per_100g_of_tex(250)
    400.0
    """
    return 100_000 / (amount * TEX[unit])


def metres_per_100g_of_count(count: float, system: str = "Nm", plies: int = 1) -> float:
    """Return how long 100 g of a yarn are whose count is given.

    Args:
        count: As 28 in "2/28".
        system: Nm (metric), NeC (cotton) or worsted.
        plies: As 2 in "2/28": so many threads of that count are twisted together.

    Returns:
        Metres in 100 g.

    Source: GNU units 2.22 (metric, cotton and worsted count); the notation of plies is from memory.

    >>> metres_per_100g_of_count(28, "Nm", plies=2)
    1400.0
    """
    return 100 * count * COUNTS_M_PER_G[system] / plies


def tex_of(metres_in_100g: float) -> float:
    """Return the weight of 1000 m of a yarn.

    Args:
        metres_in_100g: Metres in 100 g, above 0.

    Returns:
        Tex, that is g in 1000 m.

    Source: ISO 1144 (tex system), not from its own text.

    >>> tex_of(400)
    250.0
    """
    return 100_000 / metres_in_100g


def metres_per_100g_held_together(strands: Sequence[float]) -> float:
    """Return how long 100 g of several yarns held together are.

    Args:
        strands: Metres in 100 g of each yarn, above 0.

    Returns:
        Metres in 100 g of all together: their tex add up.

    Source: derived from the definition of tex.

    >>> metres_per_100g_held_together([400, 400])
    200.0
    """
    return 100_000 / sum(tex_of(strand) for strand in strands)
