"""Where a number comes from: its formula with the numbers filled in, and what uses it in turn."""

import re
from dataclasses import dataclass
from typing import Any

from grading.core.formula.errors import FormulaError
from grading.core.formula.formula import parse_formula
from grading.core.formula.tree import Name, Operation
from grading.core.pattern.parts import label_of
from grading.grid.grid import HELD, MM_PER_TYPED_UNIT
from grading.grid.shown_numbers import decimal_text, figure, unit_of
from grading.sheets.differences import GradedJson
from grading.sheets.documents import PARTS, Document, entries_of
from grading.sheets.naming import names_in

_ONE = re.compile(r"(?<![\d.,])1 (row|stitch|st)(?:s|es)\b")
_REFERENCE = re.compile(r"(?<!\{)\{([a-z][a-z0-9_]*)")


@dataclass(frozen=True)
class Origin:
    """One number of one size: worked, exact and ideal, and the formula with its numbers."""

    size: str
    worked: str
    exact: str
    ideal: str
    filled: str


@dataclass(frozen=True)
class CheckFigures:
    """A check in one size: whether it holds, and what it compares with the numbers filled in."""

    size: str
    held: str
    fails: bool
    filled: str


@dataclass(frozen=True)
class User:
    """An entry or step that uses a value."""

    part: str
    name: str
    label: str


def origins_of(document: Document, graded: GradedJson, name: str, units: str) -> list[Origin]:
    """Return one origin per size for a value."""
    entry = dict(entries_of(document, "values"))[name]
    results = graded["values"].get(name)
    if results is None:
        return []
    kind, unit = entry["kind"], unit_of(entry["kind"], units)
    return [
        Origin(
            size=size,
            worked=f"{figure(results['worked'][place], kind, units)} {unit}".strip(),
            exact=figure(results["exact"][place], kind, units),
            ideal=figure(results["ideal"][place], kind, units),
            filled=_filled(entry.get("formula", ""), document, graded, place, units),
        )
        for place, size in enumerate(document["sizes"])
    ]


def check_figures(document: Document, graded: GradedJson, name: str, units: str) -> list[CheckFigures]:
    """What a check compares in each size, failing sizes first."""
    entry = dict(entries_of(document, "checks"))[name]
    found = [
        CheckFigures(size, HELD[held], held is False, _filled(entry["holds"], document, graded, place, units))
        for place, (size, held) in enumerate(
            zip(document["sizes"], graded["checks"].get(name, ()), strict=False)
        )
    ]
    return sorted(found, key=lambda one: not one.fails)


def users_of(document: Document, name: str) -> list[User]:
    """Return what refers to a name: entries of the sheet, then steps of the instructions."""
    found = [
        User(part, other, label_of({"name": other, **entry}))
        for part in PARTS
        if part != "sizes"
        for other, entry in entries_of(document, part)
        if other != name and name in names_in(part, entry)
    ]
    return [*found, *steps_with(document, name)]


def steps_with(document: Document, name: str) -> list[User]:
    """Return the steps of the instructions that print a name."""
    return [
        User("sections", section["title"], f"{section['title']}, step {place}")
        for section in document.get("sections", ())
        for place, step in enumerate(section["steps"], start=1)
        if name in printed_names(step)
    ]


def printed_names(step: str) -> list[str]:
    """The names that a step prints."""
    return _REFERENCE.findall(step)


def _filled(written: str, document: Document, graded: GradedJson, place: int, units: str) -> str:
    """A formula with the numbers of one size in the place of names; empty where there is none."""
    try:
        formula = parse_formula(written)
    except FormulaError:
        return ""
    text = formula.text
    for name in sorted(_names_in(formula.tree), key=lambda one: one.span.start, reverse=True):
        shown = _shown(name.name, document, graded, place, units)
        text = f"{text[: name.span.start]}{shown}{text[name.span.end :]}"
    return _ONE.sub(r"1 \1", text)


def _names_in(tree: Any) -> list[Name]:
    """All names of a formula, wherever they stand."""
    found: list[Name] = []
    waiting = [tree]
    while waiting:
        part = waiting.pop()
        if isinstance(part, Name):
            found.append(part)
        elif isinstance(part, Operation):
            waiting.extend(part.arguments)
    return found


def _shown(name: str, document: Document, graded: GradedJson, place: int, units: str) -> str:
    """The number that a name stands for in one size."""
    owner, _, part = name.partition(".")
    if name in graded["values"]:
        kind = dict(entries_of(document, "values"))[name]["kind"]
        shown = figure(graded["values"][name]["worked"][place], kind, units)
        return f"{shown} {unit_of(kind, units)}".strip()
    if name in document.get("body", {}):
        entry = document["body"][name]
        number = entry["values"][place]
        number = None if number is None else number * MM_PER_TYPED_UNIT[entry["unit"]]
        return f"{figure(number, 'length', units)} {units}"
    if owner in document.get("fabrics", {}) and part in {"stitches", "rows"}:
        fabric = document["fabrics"][owner]
        return f"({decimal_text(fabric[part], 3)} {part} / {fabric['over']})"
    if name in graded["pick_ups"]:
        return f"{figure(graded['pick_ups'][name][place], 'stitches', units)} sts"
    return str(place + 1) if name == "size_number" else name
