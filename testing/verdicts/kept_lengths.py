"""A measurement that goes on printing what makers get, when its counts are mended by what was measured."""

from collections.abc import Sequence
from math import isfinite

from grading.core.grade.grade import Graded
from grading.sheets.documents import Document
from testing.assessment.evidence import Floats

Lengths = list[tuple[str, float, float]]


def with_kept_length(document: Document, measurement: str, error_mm: Sequence[float]) -> Document:
    """Add what tests found beyond the counts to a measurement, as a line of its own: mm, one for each size.

    The counts alone would say that the garment becomes smaller or larger, which testers have disproved.
    """
    at = next(place for place, one in enumerate(document["values"]) if one["name"] == measurement)
    entry = document["values"][at]
    if "formula" not in entry:
        return document
    name = _free_name(document, f"{measurement}_tested")
    beyond = {
        "name": name,
        "label": f"{entry.get('label', measurement)[:150]}, tested beyond its counts",
        "kind": "length",
        "list": [f"{one / 10:.1f} cm" for one in error_mm],
    }
    kept = {**entry, "formula": f"({entry['formula']}) + {name}"}
    return {**document, "values": [*document["values"][:at], beyond, kept, *document["values"][at + 1 :]]}


def error_of_changed(error_mm: Sequence[float], before: Floats, after: Floats) -> list[float]:
    """The error of each size whose count changes, and none for the others: mm."""
    rows = zip(error_mm, before, after, strict=True)
    return [float(one) if old != new and isfinite(one) else 0.0 for one, old, new in rows]


def lengths_then(alone: Graded, measurement: str, error_mm: Sequence[float]) -> Lengths:
    """Changed sizes with what the counts alone would print, and what makers get: mm."""
    worked = alone.values[measurement].worked.tolist()
    rows = zip(alone.sizes, worked, error_mm, strict=True)
    return [(size, length, length + error) for size, length, error in rows if error]


def _free_name(document: Document, wanted: str) -> str:
    """A name that nothing in the document has."""
    taken = {one["name"] for part in ("values", "pick_ups") for one in document.get(part, [])}
    taken |= {*document.get("body", {}), *document.get("fabrics", {})}
    start = wanted[:70]
    return next(name for name in (start, *(f"{start}_{n}" for n in range(2, 1000))) if name not in taken)
