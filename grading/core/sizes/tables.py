"""Tables of body measurements by size: ranges stay ranges until a rule turns them into numbers."""

from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

from grading.core.formula.literals import LENGTH_UNITS_MM, MOST_DECIMALS

Rule = Literal["middle", "low", "high"]
RangeOrNumber = float | tuple[float, float] | None

RULES: dict[Rule, str] = {
    "middle": "A range becomes its middle: 32 to 34 becomes 33.",
    "low": "A range becomes its lower end: 32 to 34 becomes 32.",
    "high": "A range becomes its upper end: 32 to 34 becomes 34.",
}


@dataclass(frozen=True)
class TableMeasurement:
    """One measurement: a number, a range or None for each size, in the unit of its table.

    `half_open` ranges hold their lower end and not their upper one; others hold both. `origin` says what is
    confirmed or computed of it, and from where; "" where nothing is.
    """

    name: str
    label: str
    entries: tuple[RangeOrNumber, ...]
    half_open: bool = False
    origin: str = field(default="", compare=False)


@dataclass(frozen=True)
class SizeTable:
    """A table of body measurements, sizes smallest first, with where it comes from.

    It is unchecked where nobody has held it against the published one.
    """

    name: str
    unit: str
    sizes: tuple[str, ...]
    measurements: tuple[TableMeasurement, ...]
    edition: str = ""
    source: str = ""
    caution: str = ""
    is_unchecked: bool = False

    @property
    def mm_per_unit(self) -> float:
        """Millimetres in one unit of the table; an inch is exactly 25.4."""
        return LENGTH_UNITS_MM[self.unit]

    def place_of(self, size: str) -> int | None:
        """The place of a size by its name, from 0; “4” is “4 years”, as many write it."""
        names = [bare_size(one) for one in self.sizes]
        return names.index(bare_size(size)) if bare_size(size) in names else None

    @property
    def unit_word(self) -> str:
        """The unit in full."""
        return {"in": "inches", "cm": "centimetres"}.get(self.unit, self.unit)

    @property
    def has_ranges(self) -> bool:
        """Whether any entry is a range, so that a rule matters."""
        return any(isinstance(entry, tuple) for one in self.measurements for entry in one.entries)


@dataclass(frozen=True)
class Gap:
    """Numbers between two sizes that are in no range, in the unit of the table."""

    low: float
    high: float
    below: str
    above: str


def bare_size(size: str) -> str:
    """Return what a size is known by: its name in small letters, without the word for years.

    Args:
        size: The label of a size.

    Returns:
        The same for “4 years” and “4”, and for “XL” and “xl”.

    Source: common practice.

    >>> bare_size("4 years"), bare_size("XL"), bare_size("6 months")
    ('4', 'xl', '6 months')
    """
    return size.casefold().removesuffix(" years")


def number_of(entry: RangeOrNumber, rule: Rule) -> float | None:
    """Turn an entry into a number.

    Args:
        entry: A number, a range or None.
        rule: "middle", "low" or "high".

    Returns:
        The number in the same unit, to 6 decimals; None stays None.

    Source: common practice.

    >>> number_of((32, 34), "middle"), number_of((32, 34), "low"), number_of(18.5, "high")
    (33.0, 32.0, 18.5)
    """
    if entry is None:
        return None
    low, high = ends_of(entry)
    chosen = {"low": low, "high": high, "middle": (low + high) / 2}[rule]
    return round(float(chosen), MOST_DECIMALS)


def numbers_mm(table: SizeTable, measurement: TableMeasurement, rule: Rule) -> tuple[float | None, ...]:
    """Turn a measurement into one number per size.

    Args:
        table: The table that it belongs to.
        measurement: A measurement of the table.
        rule: "middle", "low" or "high".

    Returns:
        Millimetres, one per size, None where the table has nothing.

    Source: International Yard and Pound Agreement, 1959, for inches.

    >>> bust = TableMeasurement("bust", "Bust", ((28, 30), 33))
    >>> numbers_mm(SizeTable("Own", "in", ("XS", "S"), (bust,)), bust, "low")
    (711.2, 838.2)
    """
    numbers = [number_of(entry, rule) for entry in measurement.entries]
    return tuple(
        None if number is None else round(number * table.mm_per_unit, MOST_DECIMALS) for number in numbers
    )


def ends_of(entry: float | tuple[float, float]) -> tuple[float, float]:
    """Return both ends of an entry.

    Args:
        entry: A number or a range.

    Returns:
        Lower and upper end; a number is both.

    Source: derived.

    >>> ends_of(18.5)
    (18.5, 18.5)
    """
    return entry if isinstance(entry, tuple) else (entry, entry)


def place_in_ranges(measurement: TableMeasurement, number: float) -> int | None:
    """Return which size's range holds a number.

    Args:
        measurement: A measurement of a table.
        number: In the unit of the table.

    Returns:
        The place of the size, from 0; the smaller where two ranges hold it; None where none does.

    Source: derived.

    >>> bust = TableMeasurement("bust", "Bust", ((28, 30), (32, 34)))
    >>> place_in_ranges(bust, 30), place_in_ranges(bust, 31)
    (0, None)
    """
    for place, entry in enumerate(measurement.entries):
        if entry is None:
            continue
        low, high = ends_of(entry)
        if low <= number and (number < high or (number == high and not _is_open(measurement, entry))):
            return place
    return None


def _is_open(measurement: TableMeasurement, entry: RangeOrNumber) -> bool:
    """Return whether the upper end of an entry belongs to the next size."""
    return measurement.half_open and isinstance(entry, tuple)


def gaps(table: SizeTable, measurement: TableMeasurement) -> list[Gap]:
    """Return what lies between the ranges of neighbouring sizes.

    Args:
        table: The table that the measurement belongs to.
        measurement: A measurement of the table.

    Returns:
        One gap for each pair of neighbours that leaves one; none where neither of them is a range.

    Source: derived.

    >>> bust = TableMeasurement("bust", "Bust", ((28, 30), (32, 34)))
    >>> gaps(SizeTable("Own", "in", ("XS", "S"), (bust,)), bust)
    [Gap(low=30, high=32, below='XS', above='S')]
    """
    known = [
        (size, entry)
        for size, entry in zip(table.sizes, measurement.entries, strict=True)
        if entry is not None
    ]
    found = []
    for (below, one), (above, other) in pairwise(known):
        low, high = ends_of(one)[1], ends_of(other)[0]
        if high > low and (isinstance(one, tuple) or isinstance(other, tuple)):
            found.append(Gap(low, high, below, above))
    return found
