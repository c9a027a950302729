"""What only the edition of one maker prints: measurements without columns, boxes to tick."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from catalogue.editions.ticks import ticked
from catalogue.instructions.instructions import PrintedSection
from grading.core.printing.size_rows import PageTable


def with_boxes(sections: Sequence[PrintedSection]) -> list[PrintedSection]:
    """Sections whose rows have boxes to tick."""
    return [replace(one, steps=tuple(ticked(step) for step in one.steps)) for one in sections]


def measures_of_one(tables: Sequence[PageTable]) -> list[dict[str, Any]]:
    """The measurements of one size: the body's, then the garment's, each under its heading."""
    found: list[dict[str, Any]] = []
    for row in (row for table in tables for row in table.rows):
        if not row.texts:
            found.append({"head": row.label, "rows": []})
        else:
            found[-1]["rows"].append(row)
    return [part for part in found if part["rows"]]
