"""What only the edition of one maker prints: measurements without columns, boxes to tick."""

from collections.abc import Mapping, Sequence
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


def measures_told(tables: Sequence[PageTable], how: Mapping[str, str]) -> list[dict[str, Any]]:
    """The measurements of one size, each once with its units, and where the tape lies for it.

    Args:
        tables: Rows of one size, each label with its unit behind the last comma.
        how: Where to lay the tape, by the label of a finished measurement.

    Returns:
        For each heading its rows: label, text with every unit, and how it is measured, "" for the body.
    """
    found: list[dict[str, Any]] = []
    for row in (row for table in tables for row in table.rows):
        if not row.texts:
            found.append({"head": row.label, "rows": {}})
            continue
        label, _, unit = row.label.rpartition(", ")
        label = label or row.label
        text = f"{row.texts[0]} {unit}" if label != row.label else row.texts[0]
        rows = found[-1]["rows"]
        before = f"{rows[label]['text']} / " if label in rows else ""
        rows[label] = {"label": label, "text": before + text, "how": how.get(label, "") if found[1:] else ""}
    return [{**part, "rows": list(part["rows"].values())} for part in found if part["rows"]]
