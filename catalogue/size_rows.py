"""Rows of texts over sizes, and the tables of them that fit a page."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil


@dataclass(frozen=True)
class SizeRow:
    """One row of a table over sizes; a heading row has no texts."""

    label: str
    texts: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True)
class SizeTable:
    """A table that fits the page: some of the sizes, every row."""

    sizes: tuple[str, ...]
    rows: tuple[SizeRow, ...]
    caption: str = ""

    @property
    def columns(self) -> int:
        """How many columns it has, the row heads included."""
        return len(self.sizes) + 1


def split_rows(
    sizes: Sequence[str], rows: Sequence[SizeRow], *, across: int, caption: str = ""
) -> Iterator[SizeTable]:
    """Cut a table into groups of sizes that fit the page, as even as can be."""
    parts = ceil(len(sizes) / across)
    width = ceil(len(sizes) / parts)
    for start in range(0, len(sizes), width):
        part = slice(start, start + width)
        cut = tuple(SizeRow(row.label, row.texts[part], row.note) for row in rows)
        yield SizeTable(tuple(sizes[part]), cut, caption)
