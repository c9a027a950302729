"""What only the edition of one maker prints: measurements without columns, boxes to tick."""

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from catalogue.editions.ticks import FIRST_LINE, FIRST_WORDS, ticked
from catalogue.instructions.instructions import PrintedSection
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.printing.size_rows import PageTable


def with_boxes(sections: Sequence[PrintedSection], wording: int) -> list[PrintedSection]:
    """Sections whose rows have boxes to tick; up to the second wording a step's stood below its label."""
    line = FIRST_WORDS if wording <= WIDE_WORDING else FIRST_LINE
    is_new = wording > WIDE_WORDING
    return [
        replace(one, steps=tuple(ticked(step, line, has_strips=is_new) for step in one.steps))
        for one in sections
    ]


def measures_of_one(tables: Sequence[PageTable]) -> list[dict[str, Any]]:
    """The measurements of one size: the body's, then the garment's, each under its heading."""
    found: list[dict[str, Any]] = []
    for row in (row for table in tables for row in table.rows):
        if not row.texts:
            found.append({"head": row.label, "rows": []})
        else:
            found[-1]["rows"].append(row)
    return [part for part in found if part["rows"]]


def measures_told(tables: Sequence[PageTable], how: Sequence[tuple[str, str]]) -> list[dict[str, Any]]:
    """The measurements of one size, each once with its units, and where the tape lies for it.

    Args:
        tables: Rows of one size, each label with its unit behind the last comma.
        how: Labels of finished measurements and where to lay the tape for each, in the order of the rows.

    Returns:
        For each heading its rows: label, text with every unit, and how it is measured, "" for the body. Two
        measurements of one label have a row each.
    """
    found: list[dict[str, Any]] = []
    waiting, units = list(how), set[str]()
    for row in (row for table in tables for row in table.rows):
        if not row.texts:
            found.append({"head": row.label, "rows": []})
            continue
        label, _, unit = row.label.rpartition(", ")
        label = label or row.label
        text = f"{row.texts[0]} {unit}" if label != row.label else row.texts[0]
        rows = found[-1]["rows"]
        if rows and rows[-1]["label"] == label and unit not in units:
            rows[-1]["text"] += f" / {text}"
        else:
            units = set()
            rows.append({"label": label, "text": text, "how": _next_of(label, waiting) if found[1:] else ""})
        units.add(unit)
    return [part for part in found if part["rows"]]


def _next_of(label: str, waiting: list[tuple[str, str]]) -> str:
    """Take out the first that waits under a label; "" where none does."""
    at = next((at for at, (known, _) in enumerate(waiting) if known == label), None)
    return "" if at is None else waiting.pop(at)[1]
