"""The sheet as a grid: one row per body measurement, value and check, one column per size."""

import re
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from typing import Any

from grading.core.pattern.parts import label_of
from grading.grid.shown_numbers import NONE, figure, unit_of
from grading.sheets.differences import GradedJson
from grading.sheets.documents import PARTS, Document, entries_of

MM_PER_TYPED_UNIT = {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": 25.4, "ft": 304.8, "yd": 914.4}
_ENTRY = re.compile(r"\w+(\[\d+\]|\.\w+)")
_PLACE = re.compile(r"^(\w*)(?:\.(\w+)|\[(\d+)\])?")
_STEP = re.compile(r"sections\[(\d+)\]\.steps\[(\d+)\]")
_SECTION = re.compile(r"sections\[(\d+)\]")
_NUMBER = re.compile(r"\[(\d+)\]")
TITLES = {
    "body": "Body measurements",
    "fabrics": "Fabrics",
    "values": "Values",
    "pick_ups": "Pick-ups",
    "checks": "Checks",
    "yarn_sections": "Parts whose yarn is counted",
}
# Stands in the grid for colours that hang on a choice: these are edited in the part's form.
BY_CHOICE = "more by choice"
FAILS = "■ fails"  # red, with the sign of a Stop
HELD = {True: "holds", False: FAILS, None: NONE}


@dataclass(frozen=True)
class GridRow:
    """A row of the grid as it is shown."""

    part: str
    name: str
    label: str
    unit: str
    cells: tuple[str, ...]
    source: str = ""
    kind: str = ""
    findings: tuple[dict[str, Any], ...] = field(default=())


def sheet_grid(document: Document, graded: GradedJson, units: str) -> list[tuple[str, list[GridRow]]]:
    """Return the groups of rows with their titles; a group without rows is left out."""
    found = findings_by_entry(graded["findings"])
    makers: dict[str, Callable[[str, Any], GridRow]] = {
        "body": lambda name, entry: _body_row(name, entry, units),
        "fabrics": lambda name, entry: _fabric_row(name, entry, document),
        "values": lambda _, entry: _value_row(entry, document, graded, units),
        "pick_ups": lambda _, entry: _pick_up_row(entry, document, graded),
        "checks": lambda _, entry: _check_row(entry, document, graded),
        "yarn_sections": lambda _, entry: _yarn_row(entry, document),
    }
    groups = [
        (title, [makers[part](name, entry) for name, entry in entries_of(document, part)])
        for part, title in TITLES.items()
    ]
    return [
        (title, [_with_findings(row, place, found) for place, row in enumerate(rows)])
        for title, rows in groups
        if rows
    ]


def findings_by_entry(findings: list[dict[str, Any]]) -> dict[str, list[dict[str, Any]]]:
    """Findings by the entry they stand at, such as values.chest; the same words for several sizes are one."""
    found: dict[str, list[dict[str, Any]]] = {}
    for one in merged_findings(findings):
        place = _ENTRY.match(one["where"])
        found.setdefault(place[0] if place else one["where"], []).append(one)
    return found


def place_label(document: Document, where: str) -> str:
    """Where a finding stands, in words; a place that the document does not have is named as it is."""
    if step := _STEP.match(where):
        section, number = (int(one) for one in step.groups())
        return f"{document['sections'][section]['title']}, step {number + 1}"
    part, name, place = _PLACE.findall(where)[0]
    for number, (known, entry) in enumerate(_named_entries(document, part)):
        if known == name or str(number) == place:
            return label_of({"name": known, **entry}) if isinstance(entry, dict) else known
    if found := _SECTION.match(where):
        return str(document["sections"][int(found.group(1))]["title"])
    plain = _NUMBER.sub(lambda number: f" {int(number.group(1)) + 1}", where)
    return plain.replace(".", ", ").replace("_", " ").capitalize()


def _named_entries(document: Document, part: str) -> list[tuple[str, Any]]:
    """The entries of a part of the sheet, or the stitch patterns, by their names; none of other parts."""
    if part == "stitch_patterns":
        return [(one["name"], one) for one in document.get(part, [])]
    return list(entries_of(document, part)) if part in PARTS else []


def merged_findings(findings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Findings that say the same at the same place become one that lists its sizes."""
    merged: dict[tuple[Any, ...], dict[str, Any]] = {}
    for one in findings:
        key = (one["where"], one["weight"], one["says"])
        known = merged.setdefault(key, {**one, "sizes": []})
        if one["size"] is not None:
            known["sizes"].append(one["size"])
    return [{**one, "says": f"{_sizes(one['sizes'])}{one['says']}"} for one in merged.values()]


def _sizes(sizes: list[str]) -> str:
    """The sizes of a finding, to begin its sentence with."""
    if not sizes:
        return ""
    return f"Size {sizes[0]}: " if len(sizes) == 1 else f"Sizes {', '.join(sizes)}: "


def source_text(entry: dict[str, Any]) -> str:
    """Where a value's numbers come from, in one line."""
    if "formula" in entry:
        return str(entry["formula"])
    if "list" in entry:
        return "list"
    return f"steps from {entry['steps']['base_size']}: {entry['steps']['base']}"


def _body_row(name: str, entry: dict[str, Any], units: str) -> GridRow:
    """The row of a body measurement."""
    factor = MM_PER_TYPED_UNIT[entry["unit"]]
    numbers = [None if number is None else number * factor for number in entry["values"]]
    cells = tuple(figure(number, "length", units) for number in numbers)
    return GridRow("body", name, entry["label"], units, cells)


def _fabric_row(name: str, entry: dict[str, Any], document: Document) -> GridRow:
    """The row of a fabric: its gauge, the same for all sizes."""
    gauge = f"{entry['stitches']} stitches, {entry['rows']} rows over {entry['over']}"
    swatch = entry.get("swatch")
    if swatch:
        gauge += f", swatch {swatch['stitches']} × {swatch['rows']} weighs {swatch['weight']}"
    return GridRow("fabrics", name, entry["label"], "", ("",) * len(document["sizes"]), gauge)


def _value_row(entry: dict[str, Any], document: Document, graded: GradedJson, units: str) -> GridRow:
    """The row of a value: its worked numbers."""
    name, kind = entry["name"], entry["kind"]
    worked = graded["values"].get(name, {}).get("worked") or [None] * len(document["sizes"])
    cells = tuple(figure(number, kind, units) for number in worked)
    return GridRow("values", name, label_of(entry), unit_of(kind, units), cells, source_text(entry), kind)


def _check_row(entry: dict[str, Any], document: Document, graded: GradedJson) -> GridRow:
    """The row of a check: holds or fails in words."""
    name = entry["name"]
    held = graded["checks"].get(name) or [None] * len(document["sizes"])
    return GridRow(
        "checks", name, name.replace("_", " "), "", tuple(HELD[one] for one in held), entry["holds"]
    )


def _pick_up_row(entry: dict[str, Any], document: Document, graded: GradedJson) -> GridRow:
    """The row of a pick-up: how many stitches in each size."""
    name = entry["name"]
    counts = graded.get("pick_ups", {}).get(name) or [None] * len(document["sizes"])
    cells = tuple(figure(number, "stitches", "cm") for number in counts)
    source = f"{' '.join(entry['ratio'].split())} along {entry['count']}"
    return GridRow("pick_ups", name, name.replace("_", " "), unit_of("stitches", "cm"), cells, source)


def _yarn_row(entry: dict[str, Any], document: Document) -> GridRow:
    """The row of a part whose yarn is counted: its colour and fabric, its stitches × rows."""
    colour = entry["colour"] if "colour" in entry else f"stripes {entry['stripes']}"
    words = f"{colour}, {entry['fabric']}{', ' + BY_CHOICE if 'by_choice' in entry else ''}"
    cells = ("",) * len(document["sizes"])
    return GridRow("yarn_sections", entry["name"], entry["name"], words, cells, entry["worked"], words)


def _with_findings(row: GridRow, place: int, found: dict[str, list[dict[str, Any]]]) -> GridRow:
    """The row with what was noticed in it, without its label, which stands there; what stops comes first."""
    spots = (f"{row.part}.{row.name}", f"{row.part}[{place}]")
    here = [one for spot in spots for one in found.get(spot, ())]
    named = [{**one, "says": one["says"].removeprefix(f"{row.label}: ")} for one in here]
    return replace(row, findings=tuple(sorted(named, key=lambda one: one["weight"] != "stop")))
