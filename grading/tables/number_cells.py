"""Numbers as people type them into tables: decimals, fractions, ranges, with or without a unit."""

import re
from dataclasses import dataclass

from grading.core.formula.literals import MOST_DECIMALS
from grading.core.formula.typed_numbers import unit_named, with_point
from grading.core.sizes.tables import RangeOrNumber

LARGEST = 10_000
_NUMBER = re.compile(r"-?[0-9]{1,12}(?:\.[0-9]{1,40})?", re.ASCII)
_RANGE = re.compile(r"\s*(?:–|—|\bto\b|(?<=[0-9½¼¾])\s*-)\s*")
_UNIT = re.compile(r"(.*?)\s*[\[(,]?\s*(cm|centimetres?|in|inch|inches|mm|\"|″)\s*[\])]?\.?", re.IGNORECASE)


class NotANumber(ValueError):
    """A cell holds no number that can be used; the sentence says why."""


@dataclass(frozen=True)
class NumberCell:
    """A cell as read: the entry, its unit if it has one, and what was done to it, to be shown back."""

    entry: RangeOrNumber
    unit: str | None = None
    note: str | None = None


def read_cell(cell: str, *, comma: bool = False) -> NumberCell:
    """Read a number or a range from 0 to 10,000, with or without cm or in; an empty cell is None.

    Raises:
        NotANumber: One sentence says why.
    """
    if not cell:
        return NumberCell(None)
    if cell.startswith("="):
        raise NotANumber(f"“{cell[:40]}” is a formula: paste its result instead, as a number.")
    text, unit = _without_unit(cell)
    ends = _RANGE.split(text)
    if len(ends) > 2:
        raise NotANumber(f"“{cell[:40]}” is neither a number nor a range such as 32-34.")
    numbers = [_number(end, cell, comma) for end in ends]
    note = next((f"“{cell[:60]}” is read as {number:g}: {MOST_DECIMALS} decimals are the most."
                 for number, is_rounded in numbers if is_rounded), None)  # fmt: skip
    if len(numbers) == 1:
        return NumberCell(numbers[0][0], unit, note)
    low, high = numbers[0][0], numbers[1][0]
    if low > high:
        raise NotANumber(f"“{cell[:40]}” falls: write the smaller number first.")
    return NumberCell((low, high), unit, note)


def _without_unit(cell: str) -> tuple[str, str | None]:
    """A cell without its unit."""
    found = _UNIT.fullmatch(cell)
    if found is None or not found[1]:
        return cell, None
    return found[1].strip(), unit_named(found[2])


def header_unit(head: str) -> tuple[str, str | None]:
    """The label and the unit of a column such as “bust (cm)” or “bust [in]”."""
    found = re.fullmatch(r"(.*\S)\s*[\[(]\s*(cm|mm|in|inch|inches|centimetres?)\s*[\])]", head, re.IGNORECASE)
    return (found[1], unit_named(found[2])) if found else (head, None)


def _number(text: str, cell: str, comma: bool) -> tuple[float, bool]:
    """One number to 6 decimals, and whether anything was cut off."""
    plain = plain_number(text.strip(), comma)
    if not _NUMBER.fullmatch(plain):
        hint = " Write decimals with a point." if "," in text and not comma else ""
        raise NotANumber(f"“{cell[:40]}” is not a number, such as 92.5.{hint}")
    number = round(float(plain), MOST_DECIMALS) + 0.0
    if not 0 <= number <= LARGEST:
        raise NotANumber(f"“{cell[:40]}” is not between 0 and {LARGEST:,}.")
    decimals = plain.partition(".")[2].rstrip("0")
    return number, len(decimals) > MOST_DECIMALS


def plain_number(text: str, comma: bool) -> str:
    """A number with a point: 92,5 where commas may be decimal, 16½, 16 1/2."""
    return with_point(text) if comma or "," not in text else text
