"""Changes typed into the grid: a batch of them turns one document into another, or says what hinders it."""

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from catalogue.sheets.grid_batch import GRID_PARTS, Batch, CellChange
from catalogue.sheets.grid_cells import (
    CellRefusedError,
    fitting_literal,
    label_of_line,
    plain_number,
    read_cell,
    readable_formula,
    size_cells,
    worked_text,
)
from catalogue.sheets.grid_notes import counts_behind, largest_first, note_of_list
from catalogue.sheets.grid_takers import take_fabric, take_pick_up, take_yarn_part
from grading.core.formula.dimension_checks import sort_of
from grading.core.formula.dimensions import KINDS, LENGTH, STITCH, Dimension
from grading.core.formula.formula import parse_formula
from grading.core.pattern.file import SHARED_NAMES
from grading.core.pattern.parts import label_of
from grading.core.sheet.names import FABRIC_DIMENSIONS, Names
from grading.entries.forms import SOURCES, name_from
from grading.grid.grid import MM_PER_TYPED_UNIT, GridRow, sheet_grid
from grading.grid.shown_numbers import NONE
from grading.sheets.differences import GradedJson
from grading.sheets.documents import Document, entries_of, with_entries
from grading.sheets.kept_sheets import KeptSheet

_NAME = re.compile(r"[a-z][a-z0-9_]*", re.ASCII)
_UNIT_OF_KIND = {"length": {"cm": " cm", "in": " in"}, "weight": {"cm": " g", "in": " g"},
                 "yarn": {"cm": " m yarn", "in": " yd yarn"}}  # fmt: skip


@dataclass
class Changed:
    """What a batch makes of a document: the new one, the new names, and the cells that hinder it."""

    document: Document
    names: dict[str, str] = field(default_factory=dict)
    refused: list[dict[str, Any]] = field(default_factory=list)
    conflicts: list[dict[str, str]] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    instead: list[dict[str, str]] = field(default_factory=list)
    """The count to change instead, with the measurement, `over`, that was typed over them."""


def change_document(standing: KeptSheet, batch: Batch, units: str) -> Changed:
    """Apply a batch to the document as it stands now; cells that hinder it are named, nothing is dropped."""
    return _Changing(standing, units).apply(batch)


class _Changing:
    """A document on its way to another; entries are copied before they are changed."""

    def __init__(self, standing: KeptSheet, units: str) -> None:
        self.standing, self.units = standing, units
        self.document = standing.document
        self.sizes = len(self.document["sizes"])
        self.parts = {part: _by_name(entries_of(self.document, part)) for part in GRID_PARTS}
        self.made = Changed(self.document)

    def apply(self, batch: Batch) -> Changed:
        """Deletions, changes, additions, then the order."""
        if self.is_twice_named(batch):
            return self.made
        for part, name in batch.deleted:
            self.parts[part].pop(name, None)
        for (part, name), changes in _by_line(batch.changes).items():
            self.change_line(part, name, changes)
        self.add_lines(batch.added)
        touched = {one.part for one in batch.changes} | {part for part, _, _ in batch.added}
        touched |= {part for part, _ in batch.deleted}
        for part in touched | batch.order.keys():
            entries = self.ordered(part, batch.order.get(part))
            if entries or part in self.document:
                self.made.document = {**self.made.document, part: with_entries(part, entries)}
        if "yarn_sections" in touched:
            self.add_colours()
        return self.made

    def is_twice_named(self, batch: Batch) -> bool:
        """Whether a batch is about a line whose name another has too: which is meant can't be told."""
        cells = [(one.part, one.name, one.field) for one in batch.changes]
        cells += [(part, name, "label") for part, name in batch.deleted]
        for part, name, where in cells:
            if _again(name, 2) in self.parts[part]:
                says = f"Two parts are called “{name}”: open one on the Yarn page and give it another name."
                self.refuse(part, name, where, says)
        return bool(self.made.refused)

    def add_colours(self) -> None:
        """Add the yarns of colours that parts were given and that the pattern does not know yet."""
        yarns = entries_of(self.document, "yarns")
        known = {colour for colour, _ in yarns}
        named = (one.get("colour") for one in self.made.document.get("yarn_sections", ()))
        new = [colour for colour in dict.fromkeys(named) if colour and colour not in known]
        entries = [*yarns, *((colour, {"colour": colour, "label": f"Yarn {colour}"}) for colour in new)]
        if new:
            self.made.document = {**self.made.document, "yarns": with_entries("yarns", entries)}
            self.made.notes += [
                f"Yarn {colour} is added: choose the yarn on the Yarn page." for colour in new
            ]

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

    def add_lines(self, added: Iterable[tuple[str, str, dict[str, str]]]) -> None:
        """Add lines in the order typed; one whose formula names another new line is read after that."""
        waiting = [one for one in added if self.named(*one)]
        while waiting:
            new = {self.made.names[key] for part, key, _ in waiting if part == "values"}
            ready = [one for one in waiting if not _names_in(one[2].get("source", "")) & new]
            for part, key, typed in ready or waiting:
                self.take(part, self.made.names[key], key, typed, None)
            waiting = [one for one in waiting if one not in ready] if ready else []
        for part, entries in self.parts.items():
            self.parts[part] = {name: entry for name, entry in entries.items() if entry is not None}

    def named(self, part: str, key: str, typed: dict[str, str]) -> bool:
        """Give a new line its name, made from its label, and its place after all others."""
        label = typed.get("label", "").strip()
        if not label:
            self.refuse(part, key, "label", "Name this line first: type a label.")
            return False
        if part == "yarn_sections":
            name = label
            if name in self.parts[part]:
                self.refuse(part, key, "label", f"There is a part “{label}” already: choose another name.")
                return False
        else:
            others = (entries_of(self.document, one) for one in SHARED_NAMES if one not in self.parts)
            taken = {name: None for entries in self.parts.values() for name in entries}
            name = name_from(label, taken | {one: None for many in others for one, _ in many})
        self.made.names[key] = name
        self.parts[part][name] = None
        return True

    def take(
        self, part: str, name: str, key: str, typed: dict[str, str], entry: dict[str, Any] | None
    ) -> None:
        """Set the cells of an entry; the first that cannot be is refused at its cell."""
        if any(one not in _fields_of(self.sizes) for one in typed):
            self.refuse(part, key, "label", "This line has no such cell: load the sheet again.")
            return
        takers = {"body": self.take_body, "values": self.take_value, "checks": self.take_check,
                  "fabrics": self.take_fabric, "pick_ups": self.take_pick_up,
                  "yarn_sections": self.take_yarn_part}  # fmt: skip
        try:
            self.parts[part][name] = takers[part](name, key, typed, entry)
        except CellRefusedError as refused:
            self.refuse(part, key, refused.where, refused.says, refused.column)
            if entry is None:
                self.made.names.pop(key, None)

    def refuse(self, part: str, name: str, where: str, says: str, column: int = 0) -> None:
        """Name a cell and what hinders it."""
        told = {"part": part, "name": name, "field": where, "says": says, "column": column}
        self.made.refused.append(told)

    def take_body(self, _name: str, _key: str, typed: dict[str, str], entry: dict[str, Any] | None) -> Any:
        """A body measurement: its label and its numbers, kept in the unit of its row."""
        entry = entry or {"label": "", "unit": self.units, "values": [None] * self.sizes}
        if "source" in typed and typed["source"].strip():
            raise CellRefusedError("A body measurement can’t have a formula: type its numbers.", "source")
        values = list(entry["values"])
        for where, text in size_cells(typed):
            values[int(where)] = self.body_number(text, entry["unit"], where)
        return {**entry, "label": label_of_line(typed, entry["label"]), "values": values}

    def body_number(self, text: str, unit: str, where: str) -> int | float | None:
        """A length in the unit of its row; a bare one was typed in the person's units."""
        if text.strip() in {"", NONE}:
            return None
        typed = read_cell(text, where)
        literal = fitting_literal(f"{typed.digits} {typed.unit or self.units}", "length", where)
        if literal.number < 0:
            raise CellRefusedError("A body measurement can’t be below 0.", where)
        number = round(literal.number / MM_PER_TYPED_UNIT[unit], 6)
        return int(number) if number == int(number) else number

    def take_value(self, _name: str, key: str, typed: dict[str, str], entry: dict[str, Any] | None) -> Any:
        """A value: its label, its kind, and a formula or a list."""
        formula = typed.get("source", "").strip()
        formula = "" if formula == "list" else formula
        cells = size_cells(typed)
        if entry is None:
            kind = typed.get("kind") or self.guessed_kind(formula, [text for _, text in cells])
            made: dict[str, Any] = {"name": self.made.names[key], "label": "", "kind": kind}
        else:
            made = entry
        if typed.get("kind"):
            made = {**made, "kind": typed["kind"]}
        if made["kind"] not in KINDS:
            raise CellRefusedError(f"Choose a kind: {', '.join(KINDS)}.", "kind")
        made = {**made, "label": label_of_line(typed, made.get("label", ""))}
        if formula:
            return _with_source(made, "formula", readable_formula(formula))
        if cells or "source" in typed or entry is None:
            self.note_list(made)
            return _with_source(made, "list", self.value_list(made, cells))
        return made

    def note_list(self, entry: dict[str, Any]) -> None:
        """Say which formula, or which steps from size to size, give way to a list."""
        if "formula" in entry or "steps" in entry:
            counts = largest_first(counts_behind(entry, self.document), self.standing.graded)
            self.made.notes.append(note_of_list(entry, counts))
            over = {"over": entry["name"], "over_label": label_of(entry)}
            self.made.instead += [{"name": one["name"], "label": label_of(one), **over} for one in counts[:1]]

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
        texts = ["" if one is None else worked_text(one, kind, self.units) for one in numbers]
        return [self.list_cell(text, kind, "0") for text in texts]

    def list_cell(self, text: str, kind: str, where: str) -> Any:
        """What a list holds for a cell: a count as a number, all else with its unit."""
        text = text.strip()
        if text in {"", NONE}:
            return None
        typed = read_cell(text, where)
        unit = _UNIT_OF_KIND.get(kind, {}).get(self.units, "")
        if not typed.unit and not unit:
            return plain_number(typed.digits)
        written = f"{typed.digits} {typed.unit}" if typed.unit else f"{typed.digits}{unit}"
        fitting_literal(written, kind, where)
        return written

    def guessed_kind(self, formula: str, cells: list[str]) -> str:
        """The kind that a formula or the first number gives; a length where nothing says otherwise."""
        if formula:
            return self.kind_of_formula(formula)
        first = next((text.strip() for text in cells if text.strip()), "")
        typed = read_cell(first, "0") if first else None
        if typed and typed.unit:
            dimension = fitting_literal(f"{typed.digits} {typed.unit}", None, "0").dimension
            return next((kind for kind, one in KINDS.items() if one == dimension), "count")
        return "length"

    def kind_of_formula(self, text: str) -> str:
        """The first kind that has the formula's dimension; counts go before ratios."""
        names = parse_formula(readable_formula(text)).names
        known = self.dimensions()
        if not all(name in known for name in names):
            return "length"
        found = sort_of(text, tuple(known[name] for name in names))
        return next((kind for kind, one in KINDS.items() if one == found), "length")

    def dimensions(self) -> dict[str, Dimension]:
        """What each name stands for, lines that are not saved yet among them."""
        known = {name: of.dimension for name, of in Names(self.standing.graded.pattern).symbols.items()}
        known |= dict.fromkeys(self.parts["body"], LENGTH)
        known |= dict.fromkeys(self.parts["pick_ups"], STITCH)
        for name in self.parts["fabrics"]:
            known |= {f"{name}.{way}": of for way, of in FABRIC_DIMENSIONS.items()}
        return known | {name: KINDS[one["kind"]] for name, one in self.parts["values"].items() if one}

    def take_check(self, _name: str, key: str, typed: dict[str, str], entry: dict[str, Any] | None) -> Any:
        """A check: what must hold, and what is said when it does not."""
        if size_cells(typed):
            raise CellRefusedError("A check has no numbers: type what must be true.", size_cells(typed)[0][0])
        if "kind" in typed:
            raise CellRefusedError("A check has no unit.", "kind")
        if entry is not None and "label" in typed:
            raise CellRefusedError("A check keeps its name: open the check to change what it says.", "label")
        says = f"This is not true: {label_of_line(typed, '')}."
        made = entry or {"name": self.made.names[key], "holds": "", "says": says, "weight": "warn"}
        return {**made, "holds": readable_formula(typed.get("source", made["holds"]).strip())}

    def take_fabric(self, _name: str, _key: str, typed: dict[str, str], entry: dict[str, Any] | None) -> Any:
        """A fabric: its label, its gauge, the weight of a swatch."""
        return take_fabric(typed, entry)

    def take_pick_up(self, name: str, _key: str, typed: dict[str, str], entry: dict[str, Any] | None) -> Any:
        """A pick-up: what it is picked up along, and how many."""
        return {"name": name, **take_pick_up(typed, entry, self.dimensions())}

    def take_yarn_part(
        self, name: str, _key: str, typed: dict[str, str], entry: dict[str, Any] | None
    ) -> Any:
        """A part whose yarn is counted; in the grid no two have one name."""
        colours = [colour for colour, _ in entries_of(self.document, "yarns")]
        made = take_yarn_part(typed, entry, list(self.parts["fabrics"]), colours)
        if made["name"] != name and made["name"] in self.parts["yarn_sections"]:
            raise CellRefusedError(f"There is a part “{made['name']}” already: choose another name.", "label")
        return made


def grid_row(standing: KeptSheet, part: str, name: str, units: str) -> GridRow:
    """One line as the grid shows it."""
    entries = [(one, entry) for one, entry in entries_of(standing.document, part) if one == name]
    alone = {"sizes": standing.document["sizes"], part: with_entries(part, entries)}
    graded: GradedJson = {"values": {}, "checks": {}, "pick_ups": {}, "findings": []}
    if part in graded:
        found = _result(standing, part, name)
        graded[part] = {} if found is None else {name: found}
    return sheet_grid(alone, graded, units)[0][1][0]


def _by_line(changes: Iterable[CellChange]) -> dict[tuple[str, str], list[CellChange]]:
    """Changes by the line that they are of."""
    lines: dict[tuple[str, str], list[CellChange]] = {}
    for one in changes:
        lines.setdefault((one.part, one.name), []).append(one)
    return lines


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


def _with_source(entry: dict[str, Any], source: str, content: Any) -> dict[str, Any]:
    """A value that comes from one source and no other; the key stands where the old one stood."""
    keys = [source if key in SOURCES else key for key in entry]
    kept = {key: content if key == source else entry[key] for key in dict.fromkeys(keys)}
    return {**kept, source: content}


def _by_name(entries: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    """The entries by their names; of those with one name each further one by itself."""
    found: dict[str, Any] = {}
    counts: Counter[str] = Counter()
    for name, entry in entries:
        counts[name] += 1
        found[_again(name, counts[name])] = entry
    return found


def _again(name: str, count: int) -> str:
    """What the first, second … line of a name is known by; no name has a line break."""
    return name if count == 1 else f"{name}\n{count}"


def _names_in(text: str) -> set[str]:
    """The names in a formula, without what they are of; none where it cannot be read."""
    return set(_NAME.findall(text))
