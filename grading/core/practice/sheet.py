"""The sheet of a practice piece: a pattern file of one size, with the entries of the pattern made small."""

from collections.abc import Sequence
from copy import deepcopy
from dataclasses import dataclass, field
from typing import Any

from grading.core.audit.patterns import Line, audit_pattern
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import FabricEntry
from grading.core.practice.counts import CountRule, Rules
from grading.core.practice.outlines import outline, row_counts, rows_of
from grading.core.practice.search import Course, Worked
from grading.core.practice.stages import Stage
from grading.core.practice.techniques import Teaching, Technique
from grading.core.practice.words import EDGING_ROWS, described, description_before

Typed = dict[str, Any]
SIZE = "practice"
KEPT_HEAD = (
    "craft", "home_units", "home_terms", "abbreviations", "special_stitches", "yarn_allowance", "yarns",
)  # fmt: skip


@dataclass(frozen=True)
class Names:
    """Names of the lines of one piece; `prefix` is none that the pattern's own names begin with."""

    prefix: str
    stitches: str

    def of(self, what: str, place: int | None = None) -> str:
        """Return the name of a line, of a stage by its place."""
        return f"{self.prefix}_{what}" + ("" if place is None else f"_{place + 1}")

    def after(self, place: int) -> str:
        """Return the line that counts the stitches after so many stages."""
        return self.stitches if place < 0 else self.of("after", place)


@dataclass
class Sheet:
    """A sheet as it is written, entry by entry."""

    of: Teaching
    typed: Typed = field(default_factory=dict)
    fabrics: dict[str, Any] = field(default_factory=dict)

    def begin(self, title: str) -> None:
        """Begin with what is the same as in the pattern."""
        typed = self.of.pattern.typed
        self.typed = {
            "format": "evenrow-pattern",
            "format_version": 1,
            "title": title,
            **{key: deepcopy(typed[key]) for key in KEPT_HEAD if key in typed},
            "sizes": [SIZE],
            "body": {},
            "fabrics": self.fabrics,
            "values": [],
        }

    def add(self, part: str, entry: Typed) -> None:
        """Add an entry to a part unless one of its name is there."""
        entries = self.typed.setdefault(part, [])
        if all(one.get("name") != entry.get("name") for one in entries):
            entries.append(entry)

    def add_value(
        self, name: str, kind: str, formula: str, rounding: Typed | None = None, **more: Any
    ) -> None:
        """Add a line."""
        rounded = {"round": rounding} if rounding else {}
        label = more.pop("label", name.partition("_")[2].replace("_", " ").capitalize() or name)
        self.add(
            "values", {"name": name, "label": label, "kind": kind, "formula": formula, **rounded, **more}
        )

    def add_fabric(self, name: str | None) -> None:
        """Take a fabric over from the pattern."""
        fabrics = self.of.pattern.typed.get("fabrics", {})
        if name is not None and name in fabrics:
            self.fabrics[name] = deepcopy(fabrics[name])

    def entry(self, part: str, name: str) -> Typed:
        """Return an entry of the pattern as typed."""
        return deepcopy(next(one for one in self.of.pattern.typed[part] if one["name"] == name))


def add_foundation(sheet: Sheet, names: Names, cast_on: int, fabric: FabricEntry, rules: Rules) -> None:
    """Add a smaller body, and the stitches that formula and rounding of the pattern give for it."""
    width_mm = cast_on / fabric.stitches_per_mm
    body = names.of("body")
    sheet.typed["body"][body] = {"label": "Width to work", "unit": "mm", "values": [round(width_mm, 6)]}
    sheet.add_value(
        names.stitches,
        "stitches",
        f"{body} * {fabric.name}.stitches",
        _rounding(rules, cast_on),
        label="Stitches of the foundation",
    )


def _rounding(rules: Rules, count: int) -> Typed:
    """Return the widest rounding of the rules that a count keeps."""
    holding = [rule for rule in rules if rule.holds(count)]
    widest = max(holding, key=lambda rule: rule.multiple, default=CountRule(1, 0))
    return {"to": "nearest", "multiple": widest.multiple, "plus": widest.plus}


def add_course(sheet: Sheet, names: Names, course: Course, fabric: FabricEntry, label: str) -> None:
    """Add the lines and entries of a piece, and its outline to scale."""
    sheet.add_value(names.of("straight"), "rows", f"{course.straight} rows", label="Plain rows")
    for place, worked in enumerate(course.stages):
        before, after = names.after(place - 1), names.after(place)
        sign, change = ("+" if worked.way.change > 0 else "-"), abs(worked.way.change)
        formula = f"{before} {sign} {change} stitches" if change else before
        sheet.add_value(after, "stitches", formula, label=f"Stitches after {worked.stage.technique.label}")
        sheet.add_value(names.of("over", place), "rows", f"{worked.way.rows} rows", label="Rows of a stage")
        _add_entry(sheet, worked, before, after, fabric.name)
    sheet.add_value(names.of("rows"), "rows", f"{course.rows} rows", label="All rows")
    sheet.add_value(
        names.of("width"),
        "length",
        f"{names.stitches} / {fabric.name}.stitches",
        label="Width of the foundation",
    )
    sheet.add_value(names.of("height"), "length", f"{names.of('rows')} / {fabric.name}.rows", label="Height")
    _add_piece(sheet, names, course, fabric, label)


def _add_piece(sheet: Sheet, names: Names, course: Course, fabric: FabricEntry, label: str) -> None:
    """Add the outline of a piece with its two measurements."""
    sheet.add("pieces", _piece(names, course, outline(course, fabric.name), names.of("piece"), label))


def add_mirror(sheet: Sheet, names: Names, course: Course, fabric: FabricEntry, label: str) -> None:
    """Add the outline of the mirrored piece with the same measurements."""
    drawn = outline(course, fabric.name, mirrored=True)
    sheet.add("pieces", _piece(names, course, drawn, names.of("mirror"), label))


def _piece(names: Names, course: Course, drawn: Typed, name: str, label: str) -> Typed:
    """Return a piece with the width of its foundation and its height."""
    corners = drawn["outline"]
    up = next(i for i, corner in enumerate(corners, 1) if corner[1].startswith(f"{course.rows} "))
    lines = [{"value": names.of("width"), "from": len(corners), "to": 1}]
    lines.append({"value": names.of("height"), "from": 1, "to": up})
    return {"name": name, "label": label, "direction": "bottom to top", "dimensions": lines, **drawn}


def is_described_otherwise(of: Teaching, stage: Stage) -> bool:
    """Return whether the pattern describes the row of a shaping for more places than one."""
    step = described_in(of, stage)
    return bool(step) and described(step, stage.each) != step


def described_in(of: Teaching, stage: Stage) -> str:
    """Return the step that describes the row of a shaping."""
    place = next(iter(of.places.get(stage.name, ())), None)
    return description_before(of.pattern.sections[place.section].steps, place.step) if place else ""


def is_of_a_place(text: str) -> bool:
    """Return whether words of a shaping tell where on the garment it is, which a practice piece has not."""
    return " of the " in text


def _add_entry(sheet: Sheet, worked: Worked, before: str, after: str, fabric: str) -> None:
    """Add the entry of a stage as in the pattern, with its numbers made small."""
    way, stage = worked.way, worked.stage
    kind, name = stage.technique.kind, stage.name
    if kind in ("increases", "decreases"):
        small = {
            "from": before,
            "to": after,
            "over": way.rows,
            "each": stage.each,
            "plain_end": way.plain_end,
        }
        entry = {**sheet.entry("shapings", name), **small}
        if way.first is not None:
            entry["first"] = way.first
        step = described_in(sheet.of, stage)
        if is_of_a_place(entry.get("words", "")) or (step and not described(step, stage.each)):
            entry.pop("words", None)
            if stage.in_rounds and stage.each == 2:
                verb = "increase" if way.change > 0 else "decrease"
                entry["words"] = f"{verb} 1 st after the first st and 1 st before the last"
        sheet.add("shapings", entry)
    elif kind == "spread":
        sheet.add("spreads", {"name": name, "change": way.change, "in": before})
    elif kind == "curve":
        edges = 2 if stage.form == "ends" else 1
        small = {"width": abs(way.change) // edges, "depth": way.depth, "fabric": fabric}
        sheet.add("curves", {**sheet.entry("curves", name), **small})
    elif kind == "stitch_pattern":
        sheet.add("stitch_patterns", {**sheet.entry("stitch_patterns", name), "over": [before]})


def add_pick_up(sheet: Sheet, technique: Technique, names: Names) -> None:
    """Add a pick-up with its ratio and its rounding, along a side or along the foundation of the piece."""
    entry = sheet.entry("pick_ups", technique.name)
    entry.pop("edge", None)
    entry["count"] = names.of("rows") if entry["along"] == "row ends" else names.stitches
    for used in (entry.get("fabric"), entry.get("round", {}).get("fabric")):
        sheet.add_fabric(used)
    sheet.add("pick_ups", entry)


@dataclass(frozen=True)
class Banding:
    """Stripes of a piece: their name and the rows that they have in it."""

    name: str
    sequence: tuple[tuple[str, int], ...]
    rows: int

    @property
    def repeats(self) -> bool:
        """Whether its rows go on after the last stripe."""
        return self.rows > sum(rows for _, rows in self.sequence)


def add_stripes(sheet: Sheet, bands: Sequence[Banding]) -> None:
    """Add stripes as in the pattern, from their first row on."""
    for band in bands:
        entry = sheet.entry("stripes", band.name)
        sheet.add("stripes", {**entry, "sequence": [list(one) for one in band.sequence], "start": 0})


def add_yarn(sheet: Sheet, course: Course, fabric: FabricEntry, bands: Sequence[Banding], label: str) -> None:
    """Add what a piece takes: row by row as it is worked, by its stripes where it has any."""
    colours = [one["colour"] for one in sheet.typed.get("yarns", ())]
    if not colours or fabric.swatch is None:
        return
    shapes = {one["name"]: one for part in ("shapings", "curves") for one in sheet.typed.get(part, ())}
    counts = row_counts(course, shapes)
    lengths = [band.rows for band in bands] or [len(counts)]
    for place, (rows, stitches) in enumerate(rows_of(counts, lengths)):
        look = {"stripes": bands[place].name, "rows": rows} if bands else {"colour": colours[0]}
        name = f"{label}, {place + 1}" if len(lengths) > 1 else label
        worked = f"{stitches} stitches * 1 rows"
        sheet.typed.setdefault("yarn_sections", []).append(
            {"name": name, "fabric": fabric.name, "worked": worked, **look}
        )


def edge_yarn(of: Teaching) -> str:
    """Return the letter of the yarn that an edge is worked in, the first; "" where there is no other."""
    return of.pattern.yarns[0].colour if len(of.pattern.yarns) > 1 else ""


def add_edge_yarn(sheet: Sheet, technique: Technique, fabric: str | None, label: str) -> None:
    """Add what a picked-up edge takes: its first row and those worked on it."""
    entry = next((one for one in sheet.of.pattern.fabrics if one.name == fabric), None)
    colours = [one["colour"] for one in sheet.typed.get("yarns", ())]
    if entry is not None and entry.swatch is not None and colours:
        worked = f"{technique.name} * {EDGING_ROWS + 1} rows"
        part = {"name": label, "fabric": entry.name, "worked": worked, "colour": colours[0]}
        sheet.typed.setdefault("yarn_sections", []).append(part)


def audited(typed: dict[str, Any]) -> tuple[Line, ...] | None:
    """Return the audited lines of a sheet; None where any does not agree or words are in the way."""
    pattern = read_pattern(typed)
    graded = grade(pattern)
    if any(one.weight == "stop" and one.where.startswith("sections") for one in graded.findings):
        return None
    lines = audit_pattern(facts_of(pattern, graded))
    agree = all(one.verdict in ("agrees", "") for line in lines for one in line.sizes)
    return lines if agree else None
