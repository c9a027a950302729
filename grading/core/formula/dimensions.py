"""Dimensions: exponents over length, stitch, row, weight and yarn."""

from typing import NamedTuple


class Dimension(NamedTuple):
    """Exponents of the five base dimensions; all 0 is a plain number."""

    length: int = 0
    stitch: int = 0
    row: int = 0
    weight: int = 0
    yarn: int = 0

    def times(self, other: "Dimension") -> "Dimension":
        """Return the dimension of a product."""
        return Dimension(*(a + b for a, b in zip(self, other, strict=True)))

    def over(self, other: "Dimension") -> "Dimension":
        """Return the dimension of a quotient."""
        return Dimension(*(a - b for a, b in zip(self, other, strict=True)))

    def root(self) -> "Dimension | None":
        """Return the dimension of a square root, or None where an exponent is odd."""
        return None if any(a % 2 for a in self) else Dimension(*(a // 2 for a in self))


PLAIN = Dimension()
LENGTH = Dimension(length=1)
STITCH = Dimension(stitch=1)
ROW = Dimension(row=1)
WEIGHT = Dimension(weight=1)
YARN = Dimension(yarn=1)
AREA = Dimension(stitch=1, row=1)
STITCHES_PER_LENGTH = STITCH.over(LENGTH)
ROWS_PER_LENGTH = ROW.over(LENGTH)

KINDS: dict[str, Dimension] = {
    "length": LENGTH,
    "stitches": STITCH,
    "rows": ROW,
    "count": PLAIN,
    "ratio": PLAIN,
    "weight": WEIGHT,
    "yarn": YARN,
    "area": AREA,
}
COUNT_KINDS = frozenset({"stitches", "rows", "count"})
UNIT_KINDS = frozenset({"length", "weight", "yarn"})

_NOUNS = ("length", "stitches", "rows", "weight", "yarn")
_POWERS = {2: "²", 3: "³"}


def describe(dimension: Dimension) -> str:
    """Name a dimension in words.

    Args:
        dimension: Exponents over the base dimensions.

    Returns:
        Words such as "stitches per length".

    Source: derived.

    >>> describe(STITCHES_PER_LENGTH), describe(PLAIN), describe(AREA)
    ('stitches per length', 'a plain number', 'stitches × rows')
    """
    if dimension == PLAIN:
        return "a plain number"
    above = [_power(noun, e) for noun, e in zip(_NOUNS, dimension, strict=True) if e > 0]
    below = [_power(noun, -e) for noun, e in zip(_NOUNS, dimension, strict=True) if e < 0]
    per = f"{' × '.join(above) or 'a number'}"
    return f"{per} per {' × '.join(below)}" if below else per


def _power(noun: str, exponent: int) -> str:
    """Write a noun with its exponent."""
    return noun if exponent == 1 else noun + _POWERS.get(exponent, f" to the power {exponent}")
