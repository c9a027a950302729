"""A pattern file made of an older text and of what the designer decided about its lists."""

import re
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any

from grading.core.older.reading import Candidate, OlderText, Relation, Spot
from grading.entries.forms import name_from
from grading.sheets.documents import Document

YARN_UNITS = {"m": "m yarn", "yd": "yd yarn"}
COUNTED = {"stitches": " stitches", "rows": " rows"}

# A length for all sizes prints in the units of the edition; one beside its other unit stays as typed.
_LENGTH = re.compile(r"(?<![\w.,/])(\d{1,4}(?:\.\d{1,2})?) ?cm\b(?!\s?[/(\[])")


@dataclass(frozen=True)
class Decision:
    """What becomes of a candidate: a value of this label and kind, as a formula where it follows from one."""

    label: str
    kind: str
    is_formula: bool


def older_document(older: OlderText, facts: Mapping[str, str], decisions: Mapping[int, Decision]) -> Document:
    """Build the pattern file of a new draft.

    Args:
        older: The text as read.
        facts: title, craft, home_units and home_terms.
        decisions: For each candidate (by its place, from 0) that becomes a value; the others stay as typed.

    Returns:
        A document with sizes, gauge, values, and every step with references in place of those values.
    """
    names: dict[int, str] = {}
    for place, decision in decisions.items():
        names[place] = name_from(decision.label, dict.fromkeys(names.values()))
    values = [_value(older, place, decision, names) for place, decision in decisions.items()]
    fabrics = {} if older.gauge is None else {"main": _fabric(older)}
    named = defaultdict(list)
    for place, name in names.items():
        for spot in older.candidates[place].spots:
            named[spot.section, spot.step].append((spot, name))
    sections = [
        {
            "title": section.title,
            "steps": [_step(text, named[place, number]) for number, text in enumerate(section.steps)],
        }
        for place, section in enumerate(older.sections)
    ]
    return {
        "format": "evenrow-pattern",
        "format_version": 1,
        **facts,
        "sizes": list(older.sizes),
        "body": {},
        "fabrics": fabrics,
        "values": values,
        "checks": [],
        "sections": sections,
    }


def relation_formula(relation: Relation, other: str, candidate: Candidate, kind: str) -> str:
    """The formula of a list that follows from another one, whose name or label is given."""
    if relation.factor == 2:
        return f"2 * {other}"
    if relation.factor != 1:
        return f"{other} / 2"
    sign = "-" if relation.difference < 0 else "+"
    return f"{other} {sign} {_plain(abs(relation.difference))}{_unit_of(candidate, kind)}"


def _unit_of(candidate: Candidate, kind: str) -> str:
    """The unit as a literal of the sheet writes it."""
    if candidate.kind in {"length", "yarn", "weight"}:
        return f" {YARN_UNITS.get(candidate.unit, candidate.unit)}"
    return COUNTED.get(kind, "")


def _value(older: OlderText, place: int, decision: Decision, names: Mapping[int, str]) -> dict[str, Any]:
    """The entry of a value."""
    candidate = older.candidates[place]
    entry: dict[str, Any] = {"name": names[place], "label": decision.label, "kind": decision.kind}
    relation = candidate.relation
    if decision.is_formula and relation is not None and relation.other in names:
        return entry | {
            "formula": relation_formula(relation, names[relation.other], candidate, decision.kind)
        }
    unit = _unit_of(candidate, "")
    entry |= {"list": [_entry(number, unit) for number in candidate.numbers]}
    dashes = [size for size, number in zip(older.sizes, candidate.numbers, strict=True) if number is None]
    if dashes:
        entry["settled"] = [{"what": "missing", "sizes": dashes, "why": "The older text has a dash here."}]
    return entry


def _entry(number: Decimal | None, unit: str) -> str | int | float | None:
    """A number of a list: with its unit where it has one."""
    if number is None:
        return None
    if unit:
        return f"{_plain(number)}{unit}"
    return int(number) if number == int(number) else float(number)


def _plain(number: Decimal) -> str:
    """A number without zeros at its end."""
    return f"{number:f}".rstrip("0").rstrip(".") if "." in f"{number:f}" else f"{number:f}"


def _fabric(older: OlderText) -> dict[str, Any]:
    """The fabric that the gauge of the text stands for."""
    gauge = older.gauge
    if gauge is None:
        raise ValueError("The text has no gauge.")
    return {
        "label": "Main fabric",
        "stitches": float(gauge.stitches),
        "rows": float(gauge.rows),
        "over": gauge.over,
    }


def _step(text: str, spots: Sequence[tuple[Spot, str]]) -> str:
    """A step with references in place of its lists; braces of the text stay braces."""
    parts, place = [], 0
    for spot, name in sorted(spots, key=lambda one: one[0].start):
        parts += [
            _words(text[place : spot.start]),
            f"{{{name} in both}}" if spot.is_in_both else f"{{{name}}}",
        ]
        place = spot.end
    return "".join([*parts, _words(text[place:])])


def _words(text: str) -> str:
    """Words between two lists: lengths in braces, so that they follow the units of an edition."""
    escaped = text.replace("{", "{{").replace("}", "}}")
    return _LENGTH.sub(
        lambda found: (
            found.group()
            if escaped[: found.start()].rstrip().endswith(("/", "(", "["))
            else f"{{{found.group(1)} cm}}"
        ),
        escaped,
    )
