"""Lists of values brought as a table: one line per value, one column per size, into a pattern's document."""

from dataclasses import dataclass, field
from typing import Any

from grading.core.formula.dimensions import KINDS, UNIT_KINDS
from grading.core.formula.errors import PatternFileError
from grading.core.pattern.entries import read_quantity
from grading.core.pattern.file import read_pattern
from grading.core.pattern.parts import label_of
from grading.entries.fields import HOME_UNITS, as_number
from grading.grid.refusals import refusal_in_words
from grading.sheets.documents import Document
from grading.sizes.table_reading import MOST_SHOWN
from grading.tables.files import BroughtRow, RawTable
from grading.tables.limits import TableRefused
from grading.tables.number_cells import plain_number

VALUE_WORDS = {"value", "values", "name"}
KIND_WORD, LABEL_WORD, UNIT_WORD = "kind", "label", "unit"


@dataclass
class ReadLists:
    """The document with the lists in it; with problems, the document as it was."""

    document: Document
    problems: list[str] = field(default_factory=list)
    empty: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Heads:
    """Where the columns stand: sizes in the pattern's order, and the optional ones by their word."""

    sizes: tuple[int, ...]
    others: dict[str, int]

    def cell(self, row: BroughtRow, word: str) -> str:
        """The cell of an optional column, empty without one."""
        return row.cells[self.others[word]] if word in self.others else ""


def read_value_lists(raw: RawTable, document: Document, units: str) -> ReadLists:
    """Read lists into a document; bare lengths are in `units`, cm or in, unless a column “unit” says more.

    A value that is a list already gets the new numbers; an unknown name becomes a new value where a column
    “kind” says what it counts.

    Raises:
        TableRefused: The head does not name the values and the pattern's sizes.
    """
    heads = _heads(raw, list(document["sizes"]))
    values = [dict(value) for value in document.get("values", [])]
    read = ReadLists(document, problems=list(raw.problems))
    for row in raw.rows:
        _read_row(row, heads, values, units, raw, read)
    if not read.problems:
        _try(read, {**document, "values": values})
    read.problems = read.problems[:MOST_SHOWN]
    return read


def _try(read: ReadLists, document: Document) -> None:
    """Take the document over if it is one."""
    try:
        read_pattern(document)
        read.document = document
    except PatternFileError as error:
        read.problems.append(refusal_in_words(error, document))


def _heads(raw: RawTable, sizes: list[str]) -> Heads:
    """Find the columns, or refuse the table."""
    first, *others = [cell.casefold() for cell in raw.head.cells]
    if first not in VALUE_WORDS:
        raise TableRefused(f"The first cell must say “value”; it says “{raw.head.cells[0][:40]}”.")
    wanted = [size.casefold() for size in sizes]
    missing = [size for size in sizes if size.casefold() not in others]
    optional = {word: others.index(word) + 1 for word in (KIND_WORD, LABEL_WORD, UNIT_WORD) if word in others}
    unknown = [raw.head.cells[at] for at, head in enumerate(others, start=1)
               if head not in wanted and at not in optional.values()]  # fmt: skip
    if missing:
        instead = (
            f" The first line says “{unknown[0][:40]}” where {missing[0]} is expected." if unknown else ""
        )
        raise TableRefused(
            f"There is no column for {', '.join(missing)}: each size of the pattern needs one.{instead}"
        )
    if unknown:
        raise TableRefused(f"“{unknown[0][:40]}” is not a size of this pattern ({', '.join(sizes)}).")
    return Heads(tuple(others.index(size) + 1 for size in wanted), optional)


def _read_row(
    row: BroughtRow, heads: Heads, values: list[dict[str, Any]], units: str, raw: RawTable, read: ReadLists
) -> None:
    """Read one line into the value it names."""
    name = row.cells[0]
    value = next((one for one in values if name in {one["name"], label_of(one)}), None)
    if value is None:
        value = _new_value(row, heads, read)
        if value is None:
            return
        values.append(value)
    elif "list" not in value:
        read.problems.append(f"Line {row.line}: “{name[:60]}” is worked out by formula or steps, not a list.")
        return
    unit = heads.cell(row, UNIT_WORD) or HOME_UNITS.get(value["kind"], {}).get(units, "")
    value["list"] = [
        _entry(row.cells[at], value["kind"], unit, f"Line {row.line}, size {raw.head.cells[at]}", raw, read)
        for at in heads.sizes
    ]


def _new_value(row: BroughtRow, heads: Heads, read: ReadLists) -> dict[str, Any] | None:
    """A value that is not known yet."""
    kind = heads.cell(row, KIND_WORD).casefold()
    if kind not in KINDS:
        says = (
            f"there is no value “{row.cells[0][:60]}”; a column “kind” ({', '.join(KINDS)}) makes a new one."
        )
        read.problems.append(f"Line {row.line}: {says}")
        return None
    label = heads.cell(row, LABEL_WORD) or row.cells[0].replace("_", " ").capitalize()
    return {"name": row.cells[0], "label": label, "kind": kind, "list": []}


def _entry(cell: str, kind: str, unit: str, where: str, raw: RawTable, read: ReadLists) -> Any:
    """One entry as a pattern file has it: a bare number for counts, a literal for what has a unit."""
    if not cell:
        read.empty.append(where)
        return None
    plain = plain_number(cell, raw.comma)
    number = as_number(plain)
    typed: Any = number
    if kind in UNIT_KINDS and not isinstance(number, str):
        typed = f"{plain} {unit}"
    try:
        read_quantity(typed, kind, "")
    except PatternFileError as error:
        read.problems.append(f"{where}: {error.reason}")
    return typed
