"""The fields of a form for one entry of a sheet, read from the JSON Schema of pattern files.

Every key of an entry that holds one thing is one field; nested keys are flattened ("round.to" becomes
"round__to"), lists with one figure per size become one field per size, lists of pairs become rows of a small
table: stripes, the corners, curved edges and measurements of a piece.
"""

import json
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_HALF_UP, Decimal
from itertools import pairwise
from typing import Any, Literal

from grading.core.formula.typed_numbers import with_point
from grading.core.pattern.schema import schema
from grading.entries.field_words import label_for
from grading.sheets.documents import Document

Kind = Literal["line", "number", "words", "choice", "tick", "lines", "rows", "when"]
Path = tuple[str | int, ...]

MOST_DECIMALS = 6
FORMULAS = frozenset({"formula", "holds", "worked", "edge"})
HOME_UNITS = {"length": {"cm": "cm", "in": "in"}, "weight": {"cm": "g", "in": "g"},
              "yarn": {"cm": "m yarn", "in": "yd yarn"}}  # fmt: skip
# What stands before the name of stripes where a colour may stand as well.
STRIPES = "stripes "
PER_SIZE = frozenset({"list", "values"})
_NUMBER = re.compile(r"[+-]?[0-9]{1,15}(\.[0-9]{1,40})?", re.ASCII)
_MINUS_SIGN = re.compile(r"^\s*[−–](?=\s*[0-9])")
_LONG_DECIMALS = re.compile(r"\s*([+-]?[0-9]{1,15}\.[0-9]{7,40})(?![0-9])(.*)", re.ASCII | re.DOTALL)


@dataclass(frozen=True)
class EntryField:
    """One field: where its content stands in the entry, how it is typed, what may be chosen."""

    path: Path
    kind: Kind
    choices: tuple[str, ...] = ()
    required: bool = False
    size: str = ""
    part: str = ""

    @property
    def dotted(self) -> str:
        """The keys that lead to it, as one word; places in lists are left out."""
        return ".".join(str(step) for step in self.path if isinstance(step, str))

    @property
    def key(self) -> str:
        """The field's name in the form."""
        return "__".join(map(str, self.path))

    @property
    def label(self) -> str:
        """What the field is called on the page."""
        words = label_for(self.part, self.dotted)
        return f"{words}, {self.size}" if self.size else words


def fields_of(part: str, document: Document) -> list[EntryField]:
    """Return the fields of an entry of a part, in the order of the schema."""
    found = _object_fields(entry_schema(part), (), document["sizes"])
    return [replace(field, part=part) for field in found]


def entry_schema(part: str) -> dict[str, Any]:
    """Return the schema of one entry of a part."""
    of_part = schema()["properties"][part]
    found: dict[str, Any] = of_part.get("items", of_part.get("additionalProperties"))
    return found


def as_texts(fields: Sequence[EntryField], entry: Any) -> dict[str, Any]:
    """Return what stands in the fields for an entry; nothing for keys that are absent."""
    texts = {}
    for field in fields:
        content = _content(entry, field.path)
        if content is not None:
            texts[field.key] = _as_text(field, content)
    return texts


def as_entry(fields: Sequence[EntryField], typed: dict[str, Any], before: Any) -> dict[str, Any]:
    """Return the entry that the fields stand for; what was not retyped stays as it was, to the letter."""
    entry: dict[str, Any] = {}
    known = as_texts(fields, before)
    for field in fields:
        text = typed.get(field.key)
        is_set = field.kind == "when"  # ticks have no order
        kept = field.key in known and (
            sorted(known[field.key]) == sorted(text or ()) if is_set else known[field.key] == text
        )
        content = _content(before, field.path) if kept else _as_content(field, text)
        if content is not None or field.path[0] in PER_SIZE:
            _put(entry, field.path, content)
    if "measured" in entry:
        entry["measured"].setdefault("around", False)
    return _in_order_of(entry, before)


def with_home_units(value: dict[str, Any], home_units: str) -> dict[str, Any]:
    """A value whose bare numbers have the unit that its pattern is written in, where its kind has units."""
    unit = HOME_UNITS.get(value.get("kind", ""), {}).get(home_units)
    if unit is None:
        return value

    def measured(number: Any) -> Any:
        return f"{number} {unit}" if isinstance(number, (int, float)) else number

    named = {**value, **({"list": [measured(one) for one in value["list"]]} if "list" in value else {})}
    if "steps" in value:
        steps = value["steps"]
        named["steps"] = {
            **steps,
            **({"base": measured(steps["base"])} if "base" in steps else {}),
            **({"step": [measured(one) for one in steps["step"]]} if "step" in steps else {}),
        }
    return named


def tidy_number(text: str) -> str:
    """Round a number of more than 6 decimals half-up to 6; everything else stays as typed."""
    found = _LONG_DECIMALS.fullmatch(text)
    if not found:
        return text
    step = Decimal(1).scaleb(-MOST_DECIMALS)
    rounded = Decimal(found[1]).quantize(step, rounding=ROUND_HALF_UP)
    return f"{rounded.normalize():f}{found[2]}"


def as_number(text: str) -> int | float | str:
    """Return a bare number as a number, its minus sign of any kind, anything else as it is; −0 is 0."""
    text = tidy_number(with_point(_MINUS_SIGN.sub("-", text).strip()))
    if not _NUMBER.fullmatch(text):
        return text
    return float(text) + 0.0 if "." in text else int(text)


def field_at(fields: Sequence[EntryField], path: Path) -> str | None:
    """Return the key of the field that shares most of its path with a place in the entry."""
    best, most = None, 0
    for field in fields:
        shared = 0
        for one, other in zip(field.path, path, strict=False):
            if one != other:
                break
            shared += 1
        if shared > most:
            best, most = field.key, shared
    return best


def _object_fields(of_object: dict[str, Any], path: Path, sizes: list[str]) -> Iterator[EntryField]:
    """The fields of an object's keys."""
    required = of_object.get("required", ())
    for key, inner in of_object["properties"].items():
        yield from _key_fields(_resolved(inner), (*path, key), sizes, required=key in required and not path)


def _key_fields(
    inner: dict[str, Any], path: Path, sizes: list[str], *, required: bool
) -> Iterator[EntryField]:
    """The fields of one key."""
    key = path[-1]
    if key in PER_SIZE:
        for place, size in enumerate(sizes):
            yield EntryField((*path, place), "number", size=size)
    elif key == "step":
        for place, (size, following) in enumerate(pairwise(sizes)):
            yield EntryField((*path, place), "number", size=f"{size} to {following}")
    elif key == "ease":
        yield EntryField((*path, 0), "line", size="least")
        yield EntryField((*path, 1), "line", size="most")
    elif key == "base_size":
        yield EntryField(path, "choice", tuple(sizes))
    elif "properties" in inner:
        yield from _object_fields(inner, path, sizes)
    else:
        yield EntryField(path, _kind_of(str(key), inner), tuple(inner.get("enum", ())), required)


def _kind_of(key: str, inner: dict[str, Any]) -> Kind:
    """How a key's content is typed."""
    special: dict[str, Kind] = {"sequence": "rows", "choices": "lines", "how": "words", "words": "words"}
    special |= {"says": "words", "note": "words", "formula": "words", "holds": "words", "worked": "words"}
    if key == "when" or inner.get("maxProperties"):
        return "when"
    if key in special:
        return special[key]
    if "enum" in inner:
        return "choice"
    if inner.get("type") == "boolean":
        return "tick"
    if inner.get("type") in {"array", "object"}:
        return "rows"
    numeric = [inner, *inner.get("anyOf", ())]
    return "number" if any(one.get("type") in {"number", "integer"} for one in numeric) else "line"


def _resolved(inner: dict[str, Any]) -> dict[str, Any]:
    """A schema with its reference followed."""
    if "$ref" not in inner:
        return inner
    found: dict[str, Any] = schema()["$defs"][inner["$ref"].split("/")[-1]]
    return found


def _content(entry: Any, path: Path) -> Any:
    """What stands at a place of an entry; None where nothing does."""
    for step in path:
        try:
            entry = entry[step]
        except (KeyError, IndexError, TypeError):
            return None
    return entry


def _put(entry: dict[str, Any], path: Path, content: Any) -> None:
    """Set a place of an entry; places of a list come in order."""
    inner: Any = entry
    for step, following in pairwise(path):
        inner = inner.setdefault(step, [] if isinstance(following, int) else {})
    if isinstance(path[-1], int):
        inner.append(content)
    else:
        inner[path[-1]] = content


def _in_order_of(entry: dict[str, Any], before: Any) -> dict[str, Any]:
    """The entry with its keys in the order in which they stood before; new ones follow."""
    if not isinstance(before, dict):
        return entry
    keys = [key for key in before if key in entry] + [key for key in entry if key not in before]
    return {
        key: _in_order_of(entry[key], before.get(key)) if isinstance(entry[key], dict) else entry[key]
        for key in keys
    }


def _as_text(field: EntryField, content: Any) -> Any:
    """An entry's content as it stands in the field."""
    if field.kind == "tick":
        return bool(content)
    if field.kind == "lines":
        return "\n".join(content)
    if field.kind == "rows":
        return [_ROWS_OF[field.dotted][0](one) for one in content]
    if field.kind == "when":
        return [f"{option}={choice}" for option, chosen in content.items() for choice in _listed(chosen)]
    return content if isinstance(content, str) else json.dumps(content)


def _listed(chosen: str | list[str]) -> list[str]:
    """One choice or several, as a list."""
    return [chosen] if isinstance(chosen, str) else chosen


def _as_content(field: EntryField, text: Any) -> Any:
    """What a field stands for in the entry; None for an empty one."""
    if field.kind == "tick":
        return True if text else None
    if field.kind == "rows":
        return [_ROWS_OF[field.dotted][1](row) for row in text or ()] or None
    if field.kind == "when":
        return _when(text or ()) or None
    if not isinstance(text, str) or not text.strip():
        return None
    if field.kind == "number":
        return as_number(text)
    if field.kind == "lines":
        return [line.strip() for line in text.splitlines() if line.strip()]
    plain = text.replace("\r\n", "\n").strip()
    return tidy_number(with_point(plain) if field.kind == "line" else plain)


def _when(ticked: Sequence[str]) -> dict[str, str | list[str]]:
    """Options and the choices under which something is made."""
    found: dict[str, list[str]] = {}
    for one in ticked:
        option, _, choice = one.partition("=")
        found.setdefault(option, []).append(choice)
    return {option: chosen[0] if len(chosen) == 1 else chosen for option, chosen in found.items()}


def _edge_row(edge: Any) -> list[str]:
    """A curved edge as a row: from corner, to corner, curve; older patterns name the curve alone."""
    if isinstance(edge, str):
        return ["", "", edge]
    return [str(edge["from"]), str(edge["to"]), edge.get("curve", "")]


def _edge(row: Sequence[str]) -> Any:
    """A curved edge as the file has it."""
    start, end, curve = row
    if curve and not start and not end:
        return curve
    return {**({"curve": curve} if curve else {}), "from": as_number(start), "to": as_number(end)}


def _side(row: Sequence[str]) -> dict[str, Any]:
    """A side as the file has it; its name as typed, in words or not."""
    name = re.sub(r"[^a-z0-9]+", "_", row[0].strip().lower()).strip("_")
    return {"name": name or row[0], "from": as_number(row[1]), "to": as_number(row[2])}


def _edge_of_join(row: Sequence[str]) -> dict[str, Any]:
    """An edge of a join as the file has it."""
    edge, times, fabric = row
    typed = {"times": as_number(times)} if times else {}
    return {"edge": edge, **typed, **({"fabric": fabric} if fabric else {})}


def _edge_row_of_join(edge: dict[str, Any]) -> list[str]:
    """An edge of a join as a row."""
    return [edge["edge"], str(edge.get("times", "")), edge.get("fabric", "")]


def _dimension(row: Sequence[str]) -> dict[str, Any]:
    """A line with a measurement as the file has it."""
    return {"value": row[0], "from": as_number(row[1]), "to": as_number(row[2])}


def _by_choice(row: Sequence[str]) -> dict[str, Any]:
    """What a part is worked in under a choice, as the file has it."""
    option, _, choice = row[0].partition("=")
    is_striped = row[1].startswith(STRIPES)
    worked_in = {"stripes": row[1].removeprefix(STRIPES)} if is_striped else {"colour": row[1]}
    return {"option": option, "choice": choice, **(worked_in if row[1] else {})}


def _by_choice_row(one: dict[str, Any]) -> list[str]:
    """What a part is worked in under a choice, as a row."""
    worked_in = f"{STRIPES}{one['stripes']}" if "stripes" in one else one["colour"]
    return [f"{one['option']}={one['choice']}", worked_in]


def _settled(row: Sequence[str]) -> dict[str, Any]:
    """What is right as it is, as the file has it; of a check nothing but sizes and reason."""
    *what, sizes, why = row
    listed = [size.strip() for size in sizes.split(",") if size.strip()]
    return {**({"what": what[0]} if what else {}), "sizes": listed, "why": why}


def _settled_row(one: dict[str, Any]) -> list[str]:
    """What is right as it is, as a row."""
    return [*([one["what"]] if "what" in one else []), ", ".join(one["sizes"]), one["why"]]


# How a list of the file becomes rows of a table, and back.
_ROWS_OF: dict[str, tuple[Callable[[Any], list[str]], Callable[[Sequence[str]], Any]]] = {
    "sequence": (lambda stripe: [stripe[0], str(stripe[1])], lambda row: [row[0], as_number(row[1])]),
    "outline": (list, list),
    "curves": (_edge_row, _edge),
    "dimensions": (lambda line: [line["value"], str(line["from"]), str(line["to"])], _dimension),
    "sides": (lambda side: [side["name"], str(side["from"]), str(side["to"])], _side),
    "edges": (_edge_row_of_join, _edge_of_join),
    "onto": (_edge_row_of_join, _edge_of_join),
    "by_choice": (_by_choice_row, _by_choice),
    "settled": (_settled_row, _settled),
}
