"""A new pattern from a construction and what a designer knows at the start."""

import copy
import re
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any

from grading.beginnings.constructions import Construction, fabrics, taken_from, wearer_of
from grading.core.sizes.tables import SizeTable
from grading.sheets.documents import Document
from grading.sizes.tables import with_table

_BY_UNITS = re.compile(r"\[\[([^\[\]|]+)\|([^\[\]|]+)\]\]")
_WORD = re.compile(r"\[\[([a-z_]+)(?: ([a-z_]+))?\]\]")
# Row ends are worked in the ratio of stitches to rows; small numbers can be counted while working.
# Source: common practice.
LARGEST_OF_RATIO = 8
# Names that the entries of a beginning may be left out by, and whose choice is then dropped.
WITHOUT_WHEN = ("values", "checks", "shapings", "spreads", "curves", "pick_ups")


@dataclass(frozen=True)
class BegunSwatch:
    """A swatch: stitches and rows over 10 cm or 4 in, and the stitches and rows that were weighed, if any."""

    stitches: float
    rows: float
    weight_g: float | None
    worked_stitches: float
    worked_rows: float


@dataclass(frozen=True)
class Start:
    """What is known at the start."""

    title: str
    fabric: str
    table: SizeTable
    sizes: tuple[str, ...]
    swatch: BegunSwatch
    ease: str
    sample: str
    home_units: str
    options: frozenset[str] = field(default_factory=frozenset)
    tool_mm: float | None = None


def begun_document(construction: Construction, start: Start) -> Document:
    """The pattern file of a new pattern."""
    served = taken_from(construction, start.table)
    pattern = _choose(copy.deepcopy(construction.pattern), construction, start.options)
    pattern = _filled(pattern, _words(construction, start, served), start.home_units)
    fabric = fabrics()[start.fabric]
    header = {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": start.title,
        "craft": fabric["craft"],
        "home_units": start.home_units,
        "home_terms": "US",
        "summary": pattern.pop("summary"),
        "skill": pattern.pop("skill"),
        "construction": pattern.pop("construction"),
        "wearer": wearer_of(start.table),
        "hazards": pattern.pop("hazards", []),
        "sizes": list(start.sizes),
    }
    body = with_table({**header, "body": {}}, start.table, "middle", list(start.sizes), list(served.values()))
    return {**body, "fabrics": {"main": _fabric(fabric["label"], start)}, **_eased(pattern, start)}


def _fabric(label: str, start: Start) -> dict[str, Any]:
    """The fabric of the swatch."""
    swatch = start.swatch
    tool = {"tool_mm": _tidy(start.tool_mm)} if start.tool_mm else {}
    weighed = {"stitches": _tidy(swatch.worked_stitches), "rows": _tidy(swatch.worked_rows)}
    weight = (
        {} if swatch.weight_g is None else {"swatch": {**weighed, "weight": f"{_tidy(swatch.weight_g)} g"}}
    )
    return {
        "label": label,
        "stitches": _tidy(swatch.stitches),
        "rows": _tidy(swatch.rows),
        "over": "10 cm" if start.home_units == "cm" else "4 in",
        **tool,
        **weight,
    }


def _tidy(number: float) -> float:
    """A whole number without its point."""
    return int(number) if float(number).is_integer() else number


def _eased(pattern: dict[str, Any], start: Start) -> dict[str, Any]:
    """The pattern with the ease of each size, from the sample's."""
    nothing = f"0 {start.home_units}"
    steps = {"base_size": start.sample, "base": start.ease, "step": [nothing] * (len(start.sizes) - 1)}
    for value in pattern["values"]:
        if value.get("steps") == "ease":
            value["steps"] = steps
    return pattern


def _words(construction: Construction, start: Start, served: dict[str, str]) -> dict[str, Any]:
    """All words that marks may stand for, those of the construction before the general ones."""
    fabric = fabrics()[start.fabric]
    ratio = Fraction(start.swatch.stitches / start.swatch.rows).limit_denominator(LARGEST_OF_RATIO)
    own = construction.words
    wearer = wearer_of(start.table)
    return {
        **fabrics()["wearers"][wearer],
        **fabrics()["crafts"][fabric["craft"]],
        **fabric["words"],
        "row_ends": f"{max(ratio.numerator, 1)} per {ratio.denominator}",
        **own.get("all", {}),
        **_option_words(construction, start),
        **own.get(fabric["craft"], {}),
        **own.get(start.fabric, {}),
        **own.get(wearer, {}),
        **{need: construction.needs[need]["from"][name] for need, name in served.items()},
    }


def _option_words(construction: Construction, start: Start) -> dict[str, Any]:
    """The words that hang on whether the maker may choose: “sleeves chosen”, or “sleeves fixed”."""
    names = [one["name"] for one in construction.options]
    kinds = {name: "chosen" if name in start.options else "fixed" for name in names}
    return {
        key: of
        for name, kind in kinds.items()
        for key, of in construction.words.get(f"{name} {kind}", {}).items()
    }


def _filled(typed: Any, words: dict[str, Any], units: str) -> Any:
    """The same JSON with its marks filled in; a text that is one mark may become a number."""
    if isinstance(typed, dict):
        return {key: _filled(entry, words, units) for key, entry in typed.items()}
    if isinstance(typed, list):
        return [_filled(entry, words, units) for entry in typed]
    if not isinstance(typed, str) or "[[" not in typed:
        return typed
    alone = _WORD.fullmatch(typed)
    if alone and not isinstance(words[alone[1]], str):
        return _filled(words[alone[1]], words, units)
    text = _BY_UNITS.sub(lambda found: found[1 if units == "cm" else 2], typed)
    text = _WORD.sub(lambda found: str(words[found[1]]).replace("%", found[2] or "%"), text)
    return _filled(text, words, units)


def _choose(pattern: dict[str, Any], construction: Construction, wanted: frozenset[str]) -> dict[str, Any]:
    """The pattern with the options that are wanted; the others are fixed to their default."""
    fixed = {one["name"]: one["default"] for one in construction.options if one["name"] not in wanted}
    pattern["options"] = [one for one in pattern["options"] if one["name"] in wanted]
    for part, entries in pattern.items():
        if isinstance(entries, list):
            pattern[part] = [_open(entry, fixed, part) for entry in entries if not _is_left_out(entry, fixed)]
    for section in pattern["sections"]:
        steps = [step for step in section["steps"] if not _is_left_out(step, fixed)]
        section["steps"] = [_step(_open(step, fixed, "steps")) for step in steps]
    return pattern


def _is_left_out(entry: Any, fixed: dict[str, str]) -> bool:
    """Whether an entry belongs to another choice than the fixed one."""
    when = entry.get("when", {}) if isinstance(entry, dict) else {}
    return any(name in when and choice not in _choices(when[name]) for name, choice in fixed.items())


def _choices(typed: Any) -> list[str]:
    """One choice or several."""
    return typed if isinstance(typed, list) else [typed]


def _open(entry: Any, fixed: dict[str, str], part: str) -> Any:
    """An entry without the conditions that always hold, or that its part knows nothing of."""
    if not isinstance(entry, dict) or "when" not in entry:
        return entry
    when = {name: choice for name, choice in entry["when"].items() if name not in fixed}
    rest = {key: of for key, of in entry.items() if key != "when"}
    return rest if part in WITHOUT_WHEN or not when else {**rest, "when": when}


def _step(step: Any) -> str:
    """A step as text; a condition becomes a block around it."""
    if isinstance(step, str):
        return step
    if "when" not in step:
        return str(step["text"])
    said = " ".join(f"{name}={','.join(_choices(of))}" for name, of in step["when"].items())
    return f"::: when {said}\n{step['text']}\n:::"
