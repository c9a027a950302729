"""Weight categories that a yarn fits by its metres in 100 g; neighbouring ranges overlap."""

from grading.core.yarn.weights import YARN_WEIGHTS, YarnWeight

# Least and most metres in 100 g of the categories 0 to 7. Common practice, from memory: labels of
# neighbouring categories overlap, which is why every category that fits is given.
METRES_IN_100_G: tuple[tuple[float, float], ...] = (
    (550, float("inf")),
    (350, 600),
    (260, 400),
    (200, 290),
    (140, 220),
    (90, 160),
    (40, 110),
    (0, 50),
)


def weights_of_length(length_per_100g_m: float) -> tuple[YarnWeight, ...]:
    """Return every weight category that a yarn fits.

    Args:
        length_per_100g_m: Metres in 100 g, above 0.

    Returns:
        Categories from fine to thick; at least one.

    Source: common practice, from memory.

    >>> [weight.name for weight in weights_of_length(220)]
    ['Light', 'Medium']
    """
    ranges = zip(YARN_WEIGHTS, METRES_IN_100_G, strict=True)
    return tuple(weight for weight, (least, most) in ranges if least <= length_per_100g_m <= most)
