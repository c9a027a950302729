"""Changes typed into the grid: a batch of them turns one document into another, or says what hinders it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from catalogue.sheets.grid_batch import GRID_PARTS, Batch, CellChange
from grading.core.formula.dimension_checks import sort_of
from grading.core.formula.dimensions import COUNT_KINDS, KINDS, PLAIN
from grading.core.formula.errors import FormulaError
from grading.core.formula.formula import parse_formula
from grading.core.formula.literals import Quantity, parse_literal
from grading.core.formula.typed_numbers import TypedNumber, TypedNumberError, read_typed_number
from grading.core.sheet.names import Names
from grading.entries.forms import SOURCES, name_from
from grading.entries.single_lines import in_one_line
from grading.grid.grid import MM_PER_TYPED_UNIT, GridRow, sheet_grid
from grading.grid.shown_numbers import NONE, in_units
from grading.sheets.differences import GradedJson
from grading.sheets.documents import Document, entries_of, with_entries
from grading.sheets.kept_sheets import KeptSheet

LONGEST_LABEL = 200
_SUCH = {
    "length": "such as 4 cm",
    "stitches": "such as 64",
    "rows": "such as 24",
    "count": "such as 3",
    "ratio": "such as 1.5",
    "weight": "such as 50 g",
    "yarn": "such as 80 m yarn",
    "area": "such as 900",
}
_GAUGE = re.compile(
    r"\s*([0-9]+(?:[.,][0-9]+)?)\s*(?:sts?|stitch(?:es)?)?\s*[x×,]\s*([0-9]+(?:[.,][0-9]+)?)\s*(?:rows?|rounds?)?\s*"
    r"(?:over|to|in|/)\s*(10 ?cm|4 ?in)\s*",
    re.ASCII,
)
_UNIT_OF_KIND = {"length": {"cm": " cm", "in": " in"}, "weight": {"cm": " g", "in": " g"},
                 "yarn": {"cm": " m yarn", "in": " yd yarn"}}  # fmt: skip


class CellRefusedError(ValueError):
    """A cell cannot be what was typed; one sentence says what to write."""


@dataclass
class Changed:
    """What a batch makes of a document: the new one, the new names, and the cells that hinder it."""

    document: Document
    names: dict[str, str] = field(default_factory=dict)
    refused: list[dict[str, str]] = field(default_factory=list)
    conflicts: list[dict[str, str]] = field(default_factory=list)


def change_document(standing: KeptSheet, batch: Batch, units: str) -> Changed:
    """Apply a batch to the document as it stands now; cells that hinder it are named, nothing is dropped."""
    return _Changing(standing, units).apply(batch)


class _Changing:
    """A document on its way to another; entries are copied before they are changed."""

    def __init__(self, standing: KeptSheet, units: str) -> None:
        self.standing, self.units = standing, units
        self.document = standing.document
        self.sizes = len(self.document["sizes"])
        self.parts = {part: dict(entries_of(self.document, part)) for part in GRID_PARTS}
        self.made = Changed(self.document)

    def apply(self, batch: Batch) -> Changed:
        """Deletions, changes, additions, then the order."""
        for part, name in batch.deleted:
            self.parts[part].pop(name, None)
        for (part, name), changes in _by_line(batch.changes).items():
            self.change_line(part, name, changes)
        for part, key, fields in batch.added:
            self.add_line(part, key, fields)
        touched = {one.part for one in batch.changes} | {part for part, _, _ in batch.added}
        touched |= {part for part, _ in batch.deleted}
        for part in touched | batch.order.keys():
            entries = self.ordered(part, batch.order.get(part))
            if entries or part in self.document:
                self.made.document = {**self.made.document, part: with_entries(part, entries)}
        return self.made

    def ordered(self, part: str, wanted: list[str] | None) -> list[tuple[str, Any]]:
        """The entries in the order wanted; whatever that leaves out stays behind what it stood behind."""
        entries = self.parts[part]
        if wanted is None:
            return list(entries.items())
        names = [self.made.names.get(one, one) for one in wanted]
        known = [one for one in dict.fromkeys(names) if one in entries]
        for place, name in enumerate(entries):
            if name not in known:
                known.insert(place, name)
        return [(name, entries[name]) for name in known]

    def change_line(self, part: str, name: str, changes: list[CellChange]) -> None:
        """Change the cells of one line, unless somebody else changed one of them to another text."""
        if name not in self.parts[part]:
            for one in changes:
                self.refuse(
                    part, name, one.field, f"The line “{name}” is gone: somebody else deleted or renamed it."
                )
            return
        row = grid_row(self.standing, part, name, self.units)
        theirs = {one.field: _shown(row, one.field) for one in changes}
        clashes = [one for one in changes if theirs[one.field] not in {one.was, one.text}]
        for one in clashes:
            self.made.conflicts.append(
                {"part": part, "name": name, "label": row.label, "field": one.field,
                 "yours": one.text, "theirs": theirs[one.field]}
            )  # fmt: skip
        typed = {one.field: one.text for one in changes if one not in clashes}
        if typed:
            self.take(part, name, name, typed, dict(self.parts[part][name]))

    def add_line(self, part: str, key: str, typed: dict[str, str]) -> None:
        """Add a line: its name is made from its label."""
        label = typed.get("label", "").strip()
        taken = {name: None for entries in self.parts.values() for name in entries}
        name = name_from(label, taken)
        if not label:
            self.refuse(part, key, "label", "Name this line first: type a label.")
            return
        self.made.names[key] = name
        self.take(part, name, key, typed, None)

    def take(
        self, part: str, name: str, key: str, typed: dict[str, str], entry: dict[str, Any] | None
    ) -> None:
        """Set the cells of an entry; the first that cannot be is refused at its cell."""
        if any(one not in _fields_of(self.sizes) for one in typed):
            self.refuse(part, key, "label", "This line has no such cell: load the sheet again.")
            return
        takers = {"body": self.take_body, "values": self.take_value, "checks": self.take_check,
                  "fabrics": self.take_fabric}  # fmt: skip
        try:
            self.parts[part][name] = takers[part](name, key, typed, entry)
        except CellRefusedError as refused:
            self.refuse(part, key, refused.args[1], refused.args[0])
            if entry is None:
                self.made.names.pop(key, None)

    def refuse(self, part: str, name: str, where: str, says: str) -> None:
        """Name a cell and what hinders it."""
        self.made.refused.append({"part": part, "name": name, "field": where, "says": says})

    def take_body(self, _name: str, _key: str, typed: dict[str, str], entry: dict[str, Any] | None) -> Any:
        """A body measurement: its label and its numbers, kept in the unit of its row."""
        entry = entry or {"label": "", "unit": self.units, "values": [None] * self.sizes}
        if "source" in typed and typed["source"].strip():
            raise CellRefusedError("A body measurement is measured: it has no formula.", "source")
        values = list(entry["values"])
        for where, text in _size_cells(typed):
            values[int(where)] = self.body_number(text, entry["unit"], where)
        return {**entry, "label": _label(typed, entry["label"]), "values": values}

    def body_number(self, text: str, unit: str, where: str) -> int | float | None:
        """A length in the unit of its row; a bare one was typed in the person's units."""
        if text.strip() in {"", NONE}:
            return None
        typed = read_cell(text, where)
        literal = _literal(f"{typed.digits} {typed.unit or self.units}", "length", where)
        if literal.number < 0:
            raise CellRefusedError("A body measurement is not below 0.", where)
        number = round(literal.number / MM_PER_TYPED_UNIT[unit], 6)
        return int(number) if number == int(number) else number

    def take_value(self, _name: str, key: str, typed: dict[str, str], entry: dict[str, Any] | None) -> Any:
        """A value: its label, its kind, and a formula or a list."""
        formula = typed.get("source", "").strip()
        formula = "" if formula == "list" else formula
        cells = _size_cells(typed)
        if entry is None:
            kind = typed.get("kind") or self.guessed_kind(formula, [text for _, text in cells])
            made: dict[str, Any] = {"name": self.made.names[key], "label": "", "kind": kind}
        else:
            made = entry
        if typed.get("kind"):
            made = {**made, "kind": typed["kind"]}
        if made["kind"] not in KINDS:
            raise CellRefusedError(f"Choose a kind: {', '.join(KINDS)}.", "kind")
        made = {**made, "label": _label(typed, made.get("label", ""))}
        if formula:
            return _with_source(made, "formula", _formula(formula))
        if cells or "source" in typed or entry is None:
            return _with_source(made, "list", self.value_list(made, cells))
        return made

    def value_list(self, entry: dict[str, Any], cells: list[tuple[str, str]]) -> list[Any]:
        """The list of a value: where it had a formula, its worked numbers stand in the other sizes."""
        kind = entry["kind"]
        known = entry.get("list") or self.worked_list(entry)
        for where, text in cells:
            known = [*known[: int(where)], self.list_cell(text, kind, where), *known[int(where) + 1 :]]
        return known

    def worked_list(self, entry: dict[str, Any]) -> list[Any]:
        """The worked numbers of a value as a list that gives them again."""
        worked = _result(self.standing, "values", entry["name"])
        numbers = worked["worked"] if worked else [None] * self.sizes
        kind = entry["kind"]
        texts = ["" if one is None else _text(one, kind, self.units) for one in numbers]
        return [self.list_cell(text, kind, "0") for text in texts]

    def list_cell(self, text: str, kind: str, where: str) -> Any:
        """What a list holds for a cell: a count as a number, all else with its unit."""
        text = text.strip()
        if text in {"", NONE}:
            return None
        typed = read_cell(text, where)
        unit = _UNIT_OF_KIND.get(kind, {}).get(self.units, "")
        if not typed.unit and not unit:
            return _number(typed.digits)
        written = f"{typed.digits} {typed.unit}" if typed.unit else f"{typed.digits}{unit}"
        _literal(written, kind, where)
        return written

    def guessed_kind(self, formula: str, cells: list[str]) -> str:
        """The kind that a formula or the first number gives; a length where nothing says otherwise."""
        if formula:
            return self.kind_of_formula(formula)
        first = next((text.strip() for text in cells if text.strip()), "")
        typed = read_cell(first, "0") if first else None
        if typed and typed.unit:
            dimension = _literal(f"{typed.digits} {typed.unit}", None, "0").dimension
            return next((kind for kind, one in KINDS.items() if one == dimension), "count")
        return "length"

    def kind_of_formula(self, text: str) -> str:
        """The first kind that has the formula's dimension; counts go before ratios."""
        names = parse_formula(_formula(text)).names
        symbols = Names(self.standing.graded.pattern).symbols
        if not all(name in symbols for name in names):
            return "length"
        found = sort_of(text, tuple(symbols[name].dimension for name in names))
        return next((kind for kind, one in KINDS.items() if one == found), "length")

    def take_check(self, _name: str, key: str, typed: dict[str, str], entry: dict[str, Any] | None) -> Any:
        """A check: what must hold, and what is said when it does not."""
        if _size_cells(typed):
            raise CellRefusedError("A check has no numbers: type what must hold.", _size_cells(typed)[0][0])
        if "kind" in typed:
            raise CellRefusedError("A check has no unit.", "kind")
        if entry is not None and "label" in typed:
            raise CellRefusedError(
                "The name of a check is kept: open the check to change what it says.", "label"
            )
        says = f"This does not hold: {_label(typed, '')}."
        made = entry or {"name": self.made.names[key], "holds": "", "says": says, "weight": "warn"}
        return {**made, "holds": _formula(typed.get("source", made["holds"]).strip())}

    def take_fabric(self, _name: str, _key: str, typed: dict[str, str], entry: dict[str, Any] | None) -> Any:
        """A fabric: its label and its gauge."""
        if _size_cells(typed):
            raise CellRefusedError("A fabric has one gauge for all sizes: type it beside its label.",
                                   _size_cells(typed)[0][0])  # fmt: skip
        if "kind" in typed:
            raise CellRefusedError("A fabric has no unit of its own.", "kind")
        made = entry or {"label": ""}
        made = {**made, "label": _label(typed, made["label"])}
        if entry is not None and "source" not in typed:
            return made
        found = _GAUGE.fullmatch(typed.get("source", ""))
        if not found:
            raise CellRefusedError("Write the gauge like this: 22 stitches, 30 rows over 10 cm.", "source")
        stitches, rows = (_number(one.replace(",", ".")) for one in found.groups()[:2])
        over = "10 cm" if found[3].startswith("10") else "4 in"
        return {**made, "stitches": stitches, "rows": rows, "over": over}


def grid_row(standing: KeptSheet, part: str, name: str, units: str) -> GridRow:
    """One line as the grid shows it."""
    entries = [(one, entry) for one, entry in entries_of(standing.document, part) if one == name]
    alone = {"sizes": standing.document["sizes"], part: with_entries(part, entries)}
    graded: GradedJson = {"values": {}, "checks": {}, "findings": []}
    if part in graded:
        found = _result(standing, part, name)
        graded[part] = {} if found is None else {name: found}
    return sheet_grid(alone, graded, units)[0][1][0]


def read_cell(text: str, where: str) -> TypedNumber:
    """A number as typed into a cell, with or without its unit."""
    try:
        return read_typed_number(text.replace("−", "-"))
    except TypedNumberError as error:
        raise CellRefusedError(str(error), where) from error


def _by_line(changes: Iterable[CellChange]) -> dict[tuple[str, str], list[CellChange]]:
    """Changes by the line that they are of."""
    lines: dict[tuple[str, str], list[CellChange]] = {}
    for one in changes:
        lines.setdefault((one.part, one.name), []).append(one)
    return lines


def _size_cells(typed: dict[str, str]) -> list[tuple[str, str]]:
    """The cells of sizes, in order."""
    return [(where, text) for where, text in typed.items() if where.isdecimal()]


def _fields_of(sizes: int) -> frozenset[str]:
    """The cells that a line may have."""
    return frozenset({"label", "kind", "source", *map(str, range(sizes))})


def _shown(row: GridRow, where: str) -> str:
    """What stands in a cell of a line."""
    if where.isdecimal():
        return row.cells[int(where)] if int(where) < len(row.cells) else ""
    return {"label": row.label, "kind": row.kind, "source": row.source}.get(where, "")


def _result(standing: KeptSheet, part: str, name: str) -> Any:
    """The result of one entry; None where it has none."""
    return standing.graded.result_json(part, name) if name in getattr(standing.graded, part) else None


def _label(typed: dict[str, str], before: str) -> str:
    """The label as typed, in one line; an empty one is refused."""
    label = in_one_line(typed.get("label", before))
    if not label and "label" in typed:
        raise CellRefusedError("Type a label: a line without one cannot be found again.", "label")
    if len(label) > LONGEST_LABEL:
        raise CellRefusedError(f"A label has {LONGEST_LABEL} characters at most.", "label")
    return label


def _with_source(entry: dict[str, Any], source: str, content: Any) -> dict[str, Any]:
    """A value that comes from one source and no other; the key stands where the old one stood."""
    keys = [source if key in SOURCES else key for key in entry]
    kept = {key: content if key == source else entry[key] for key in dict.fromkeys(keys)}
    return {**kept, source: content}


def _formula(text: str) -> str:
    """A formula that can be read, as typed."""
    try:
        parse_formula(text)
    except FormulaError as error:
        raise CellRefusedError(f"{error.says} (column {error.column})", "source") from error
    return text


def _literal(text: str, kind: str | None, where: str) -> Quantity:
    """A number with a unit that fits its kind."""
    try:
        found = parse_literal(text)
    except FormulaError as error:
        raise CellRefusedError(error.says, where) from error
    if kind is not None and found.dimension not in {KINDS[kind], *([PLAIN] if kind in COUNT_KINDS else [])}:
        raise CellRefusedError(
            f"“{text}” is not a number for this line, whose kind is {kind}: {_SUCH[kind]}.", where
        )
    return found


def _number(text: str) -> int | float:
    """A number, whole where it is."""
    number = float(text)
    return int(number) if number.is_integer() else number


def _text(number: float, kind: str, units: str) -> str:
    """A worked number in the person's units, with so many decimals that it is the same again."""
    text = f"{round(in_units(number, kind, units), 6):f}"
    return text.rstrip("0").rstrip(".")
