"""Rows and charts of the stitch patterns of a record: named as places, rows with their words as printed."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from catalogue.versions.records import Record
from grading.core.pattern.file import read_pattern
from grading.core.pattern.parts import label_of
from grading.core.stitch_patterns.fits import multiple_words
from grading.core.stitch_patterns.written import written_rows

_CHART = re.compile(r"stitch_patterns\.([a-z][a-z0-9_]*)\.chart")
_ROW = re.compile(r"stitch_patterns\.([a-z][a-z0-9_]*)\.rows\[(\d{1,3})\]")


@dataclass(frozen=True)
class PatternRow:
    """A row, from nought, of the stitch pattern of a name."""

    name: str
    at: int

    @property
    def place(self) -> str:
        """The place that it is."""
        return f"stitch_patterns.{self.name}.rows[{self.at}]"


def read_row(place: str) -> PatternRow | None:
    """The row that a place is."""
    found = _ROW.fullmatch(place)
    return PatternRow(found[1], int(found[2])) if found else None


def rows_of(name: str, record: Record) -> list[str]:
    """The rows of a stitch pattern in words, row 1 first; none where the record has no such pattern."""
    return next((texts for one, texts in _all_rows(record) if one == name), [])


def row_text(row: PatternRow, record: Record) -> str | None:
    """The words of a row; None where the record has no such row."""
    texts = rows_of(row.name, record)
    return texts[row.at] if row.at < len(texts) else None


def stitch_places(record: Record) -> Iterator[tuple[str, str]]:
    """Every row with its words for it and what is printed beside the rows, in printed order."""
    for name, texts in _all_rows(record):
        for at in range(len(texts)):
            row = PatternRow(name, at)
            yield row.place, row_words(row, record)
        yield f"stitch_patterns.{name}.chart", chart_words(name, record)


def row_words(row: PatternRow, record: Record) -> str:
    """A row as the record calls it; one that it does not have by the name of its stitch pattern."""
    entry = stitch_entry(row.name, record) or {"name": row.name}
    noun = "round" if entry.get("rounds") else "row"
    return f"{label_of(entry)}, {noun} {row.at + 1}"


def charted(place: str) -> str | None:
    """The name of the stitch pattern whose chart, introduction or repeat a place is."""
    found = _CHART.fullmatch(place)
    return found[1] if found else None


def chart_words(name: str, record: Record) -> str:
    """What is printed of a stitch pattern beside its rows, as the record calls it."""
    return f"{label_of(stitch_entry(name, record) or {'name': name})}, chart or introduction"


def chart_lines(name: str, record: Record) -> list[str]:
    """What is printed of a stitch pattern: introduction, repeat, the rest, and the rows of the chart."""
    if stitch_entry(name, record) is None:
        return []
    pattern = read_pattern(record["pattern"], trusted=True)
    entry = next(one for one in pattern.stitch_patterns if one.name == name)
    rows = [f"{row.head}: {row.text}" for row in written_rows(entry, pattern)]
    texts = [entry.introduction, f"Worked over {multiple_words(entry)}.", entry.left_over, *rows]
    return [text for text in texts if text]


def stitch_entry(name: str, record: Record) -> dict[str, Any] | None:
    """A stitch pattern as typed; None where the record has none of the name."""
    known: list[dict[str, Any]] = record["pattern"].get("stitch_patterns", [])
    return next((one for one in known if one["name"] == name), None)


def _all_rows(record: Record) -> list[tuple[str, list[str]]]:
    """The rows of every stitch pattern, by its name."""
    if not record["pattern"].get("stitch_patterns"):
        return []
    pattern = read_pattern(record["pattern"], trusted=True)
    return [
        (entry.name, [row.text for row in written_rows(entry, pattern)]) for entry in pattern.stitch_patterns
    ]
