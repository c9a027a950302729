"""A yarn in place of another: the length stays, the weight follows from how fine both are."""

import math

# From this difference of the length in 100 g on, a fabric of the same gauge is seen and felt to be another.
# Common practice, from memory; a swatch decides in any case.
FAR_APART = 0.15


def grams_in_place(weight_g: float, old_length_per_100g_m: float, new_length_per_100g_m: float) -> float:
    """Return the weight of another yarn that has the same length.

    Args:
        weight_g: Weight of the old yarn in g, or NaN.
        old_length_per_100g_m: Metres in 100 g of the old yarn, above 0.
        new_length_per_100g_m: Metres in 100 g of the other yarn, above 0.

    Returns:
        Weight in g; NaN for NaN.

    Source: derived: weight times metres per gram is the length, which stays.

    >>> grams_in_place(100, 220, 200)
    110.0
    """
    return weight_g * old_length_per_100g_m / new_length_per_100g_m


def distance(old_length_per_100g_m: float, new_length_per_100g_m: float) -> float:
    """Return how far apart two yarns are in fineness: 0 for the same, the same both ways.

    Args:
        old_length_per_100g_m: Metres in 100 g, above 0.
        new_length_per_100g_m: Metres in 100 g, above 0.

    Returns:
        The logarithm of their ratio without its sign.

    Source: derived: half as fine is as far away as twice as fine.

    >>> distance(100, 200) == distance(200, 100) > distance(100, 110)
    True
    """
    return abs(math.log(new_length_per_100g_m / old_length_per_100g_m))


def length_difference(old_length_per_100g_m: float, new_length_per_100g_m: float) -> float:
    """Return by which share another yarn is longer (above 0) or shorter (below 0) in the same weight.

    Args:
        old_length_per_100g_m: Metres in 100 g, above 0.
        new_length_per_100g_m: Metres in 100 g, above 0.

    Source: derived.

    >>> round(length_difference(200, 220), 2)
    0.1
    """
    return new_length_per_100g_m / old_length_per_100g_m - 1
