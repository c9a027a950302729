"""Rows of the stitch patterns of a record: named as places, with their words as printed."""

import re
from dataclasses import dataclass

from catalogue.versions.records import Record
from grading.core.pattern.file import read_pattern
from grading.core.pattern.parts import label_of
from grading.core.stitch_patterns.written import written_rows

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


def row_places(record: Record) -> list[tuple[str, str]]:
    """Every row of a record with its words for it, in printed order."""
    return [
        (PatternRow(name, at).place, row_words(PatternRow(name, at), record))
        for name, texts in _all_rows(record)
        for at in range(len(texts))
    ]


def row_words(row: PatternRow, record: Record) -> str:
    """A row as the record calls it; one that it does not have by the name of its stitch pattern."""
    known = record["pattern"].get("stitch_patterns", [])
    entry = next((one for one in known if one["name"] == row.name), {"name": row.name})
    noun = "round" if entry.get("rounds") else "row"
    return f"{label_of(entry)}, {noun} {row.at + 1}"


def _all_rows(record: Record) -> list[tuple[str, list[str]]]:
    """The rows of every stitch pattern, by its name."""
    if not record["pattern"].get("stitch_patterns"):
        return []
    pattern = read_pattern(record["pattern"], trusted=True)
    return [
        (entry.name, [row.text for row in written_rows(entry, pattern)]) for entry in pattern.stitch_patterns
    ]
