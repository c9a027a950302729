"""Rows of texts over sizes, and the tables of them that fit a page."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from math import ceil

FEW_ACROSS = 4
MOST_ACROSS, MOST_ACROSS_LARGE = 12, 7
# Up to the second wording large print had so many.
MOST_ACROSS_LARGE_WIDE = 5
# A column of a full page has room for a word of so many letters and the space after it.
ROOM = 5.9
MOST_DOWN, MOST_DOWN_LARGE = 26, 10

_WHOLE, _DECIMAL = re.compile(r"[−-]?\d+"), re.compile(r"[−-]?\d+\.\d")


@dataclass(frozen=True)
class PageRow:
    """One row of a table over sizes; a heading row has no texts.

    `whole` tells of each text whether it is a whole number in a column that has decimals too.
    """

    label: str
    texts: tuple[str, ...] = ()
    note: str = ""
    whole: tuple[bool, ...] = ()

    @property
    def cells(self) -> list[tuple[str, bool]]:
        """Each text with whether it leaves room for a decimal that others have."""
        return list(zip(self.texts, self.whole or (False,) * len(self.texts), strict=True))


@dataclass(frozen=True)
class PageTable:
    """A table that fits the page: some of the sizes, every row; a wordy one has words in its cells."""

    sizes: tuple[str, ...]
    rows: tuple[PageRow, ...]
    caption: str = ""
    is_tall: bool = False
    is_wordy: bool = False

    @property
    def is_narrow(self) -> bool:
        """Whether its few columns would stand too far from their row heads over a whole line."""
        return len(self.sizes) <= FEW_ACROSS and not self.is_wordy

    @property
    def looks(self) -> tuple[str, ...]:
        """What the style of a page knows it by."""
        known = {"narrow": self.is_narrow, "tall": self.is_tall, "wordy": self.is_wordy}
        return tuple(name for name, holds in known.items() if holds)

    @property
    def columns(self) -> int:
        """How many columns it has, the row heads included."""
        return len(self.sizes) + 1


def split_rows(
    sizes: Sequence[str],
    rows: Sequence[PageRow],
    *,
    across: int,
    down: int = MOST_DOWN,
    caption: str = "",
) -> Iterator[PageTable]:
    """Cut a table into groups of sizes that fit the page, as even as can be; a tall table may break."""
    for part in size_groups(sizes, across):
        cut = tuple(PageRow(row.label, row.texts[part], row.note) for row in rows)
        yield PageTable(tuple(sizes[part]), cut, caption, len(rows) > down)


def size_groups(sizes: Sequence[object], across: int) -> Iterator[slice]:
    """The sizes in groups of so many at most, as even as can be."""
    width = ceil(len(sizes) / ceil(len(sizes) / across))
    for start in range(0, len(sizes), width):
        yield slice(start, start + width)


def sizes_across(sizes: Sequence[str], across: int) -> int:
    """How many of these sizes fit a page that has room for so many with short labels."""
    letters = max((len(word) for size in sizes for word in size.split()), default=1)
    return max(1, min(across, int(across * ROOM / (letters + 1))))


def lined_up(table: PageTable) -> PageTable:
    """The same table, its whole numbers marked in columns of numbers with one decimal.

    >>> lined_up(PageTable(("S",), (PageRow("Chest", ("84",)), PageRow("Neck", ("16.5",))))).rows[0].cells
    [('84', True)]
    """
    told = [row for row in table.rows if row.texts]
    columns = zip(*(row.texts for row in told), strict=True)
    has_decimals = [any(_DECIMAL.fullmatch(text) for text in column) for column in columns]
    rows = tuple(
        replace(
            row,
            whole=tuple(
                has and _WHOLE.fullmatch(text) is not None
                for text, has in zip(row.texts, has_decimals, strict=True)
            ),
        )
        if row.texts
        else row
        for row in table.rows
    )
    return replace(table, rows=rows)
