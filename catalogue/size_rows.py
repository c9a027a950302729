"""Rows of texts over sizes, and the tables of them that fit a page."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil

FEW_ACROSS = 4
MOST_DOWN, MOST_DOWN_LARGE = 26, 10


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
    is_tall: bool = False

    @property
    def is_narrow(self) -> bool:
        """Whether its few columns would stand too far from their row heads over a whole line."""
        return len(self.sizes) <= FEW_ACROSS

    @property
    def columns(self) -> int:
        """How many columns it has, the row heads included."""
        return len(self.sizes) + 1


def split_rows(
    sizes: Sequence[str],
    rows: Sequence[SizeRow],
    *,
    across: int,
    down: int = MOST_DOWN,
    caption: str = "",
) -> Iterator[SizeTable]:
    """Cut a table into groups of sizes that fit the page, as even as can be; a tall table may break."""
    parts = ceil(len(sizes) / across)
    width = ceil(len(sizes) / parts)
    for start in range(0, len(sizes), width):
        part = slice(start, start + width)
        cut = tuple(SizeRow(row.label, row.texts[part], row.note) for row in rows)
        yield SizeTable(tuple(sizes[part]), cut, caption, len(rows) > down)
