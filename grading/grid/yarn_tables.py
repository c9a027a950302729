"""Yarn of every combination of options in one table: one combination in full, of the others what differs."""

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from grading.core.instructions.choice_words import choices_said
from grading.grid.shown_numbers import NONE, decimal_text, figure, in_units, unit_of
from grading.sheets.differences import GradedJson
from grading.sheets.documents import Document, entries_of

TOTAL = "All colours"
# Less than this prints as no difference, in g.
LEAST_G = 0.05


@dataclass(frozen=True)
class YarnRow:
    """One row: a colour, or all together; what is counted, and a figure for each size."""

    colour: str
    label: str
    unit: str
    cells: tuple[str, ...]


@dataclass(frozen=True)
class YarnRows:
    """The rows of one combination of options."""

    title: str
    rows: tuple[YarnRow, ...]


@dataclass(frozen=True)
class YarnTable:
    """The combination that is shown in full, and what each other takes more or less."""

    base: YarnRows
    others: tuple[YarnRows, ...]


def yarn_table(
    document: Document, graded: GradedJson, chosen: Mapping[str, str], shades: Mapping[str, str], units: str
) -> YarnTable | None:
    """Return the yarn of all combinations, that of the chosen options in full; None where none is counted."""
    needs = [need for need in graded["yarn"] if need["colours"]]
    if not needs:
        return None
    fitting = [
        need for need in needs if all(chosen.get(key, one) == one for key, one in need["options"].items())
    ]
    base = (fitting or needs)[0]
    labels = {
        name: _with_shade(str(entry["label"]), shades.get(name) or entry.get("shade") or "")
        for name, entry in entries_of(document, "yarns")
    }
    others = [need for need in needs if need is not base]
    return YarnTable(
        YarnRows(_title(document, base), tuple(_in_full(base, labels, units))),
        tuple(YarnRows(_title(document, need), tuple(_differing(base, need, labels))) for need in others),
    )


def coloured_as(document: Document, part: Mapping[str, Any]) -> str:
    """Say what a part whose yarn is counted is worked in: its colour or stripes, and those of choices."""
    by_choice = [
        f"{choices_in_words(document, {one['option']: one['choice']})}: {_worked_in(one)}"
        for one in part.get("by_choice", ())
    ]
    return "; ".join([_worked_in(part), *by_choice])


def _worked_in(one: Mapping[str, Any]) -> str:
    """A colour by its letter, stripes by their name."""
    return str(one["colour"]) if "colour" in one else f"stripes {one['stripes'].replace('_', ' ')}"


def default_choices(document: Document) -> dict[str, str]:
    """Return the choice of the sample for each option."""
    return {name: str(entry["default"]) for name, entry in entries_of(document, "options")}


def choices_in_words(document: Document, chosen: Mapping[str, str]) -> str:
    """Say what was chosen, as “with long sleeves”; empty without options."""
    labels = {name: str(entry["label"]) for name, entry in entries_of(document, "options")}
    return choices_said([(name, (choice,)) for name, choice in chosen.items()], labels)


def _title(document: Document, need: dict[str, Any]) -> str:
    """The choices of a combination, to stand by themselves."""
    says = choices_in_words(document, need["options"])
    return says[:1].upper() + says[1:]


def _with_shade(label: str, shade: str) -> str:
    """A yarn with its shade, unless its label names that already."""
    return label if not shade or shade in label else f"{label}, {shade}"


def _in_full(need: dict[str, Any], labels: Mapping[str, str], units: str) -> list[YarnRow]:
    """Grams, length and balls of each colour, and grams of all together."""
    rows = []
    used = {colour: amounts for colour, amounts in need["colours"].items() if set(amounts["weight"]) != {0}}
    for colour, amounts in used.items():
        for unit, key, kind in (("g", "weight", "weight"), (unit_of("yarn", units), "length", "yarn"),
                                ("balls", "balls", "count")):  # fmt: skip
            cells = tuple(_whole(number, kind, units) for number in amounts[key])
            if key == "weight" or set(cells) != {NONE}:
                rows.append(YarnRow(colour, labels.get(colour, "") if key == "weight" else "", unit, cells))
    if len(used) > 1:
        rows.append(YarnRow(TOTAL, "", "g", tuple(_whole(one, "weight", units) for one in _total(need))))
    return rows


def _whole(number: float | None, kind: str, units: str) -> str:
    """An amount without decimals: an estimate knows none."""
    if number is None or math.isnan(number):
        return NONE
    return decimal_text(in_units(number, kind, units), 0)


def _differing(base: dict[str, Any], need: dict[str, Any], labels: Mapping[str, str]) -> list[YarnRow]:
    """What a combination takes more or less than the base, in grams, colour by colour and in all."""
    colours = dict.fromkeys([*base["colours"], *need["colours"]])
    nothing = {"weight": [0.0] * len(_total(base))}
    pairs = [
        (
            colour,
            base["colours"].get(colour, nothing)["weight"],
            need["colours"].get(colour, nothing)["weight"],
        )
        for colour in colours
    ]
    rows = [
        YarnRow(colour, labels.get(colour, ""), "± g", _signed(one, other)) for colour, one, other in pairs
    ]
    rows = [row for row in rows if set(row.cells) != {"0"}]
    total = YarnRow(TOTAL, "", "± g", _signed(_total(base), _total(need)))
    return [*rows, total] if len(rows) > 1 else rows


def _total(need: dict[str, Any]) -> list[float | None]:
    """Grams of all colours together; none where one of them is unknown."""
    weights = [amounts["weight"] for amounts in need["colours"].values()]
    return [None if None in of_size else sum(of_size) for of_size in zip(*weights, strict=True)]


def _signed(before: list[float | None], after: list[float | None]) -> tuple[str, ...]:
    """Differences with their sign."""
    cells = []
    for one, other in zip(before, after, strict=True):
        if one is None or other is None:
            cells.append(NONE)
        elif abs(other - one) < LEAST_G:
            cells.append("0")
        else:
            sign = "+" if other > one else "−"
            cells.append(f"{sign}{figure(abs(other - one), 'weight', 'cm')}")
    return tuple(cells)
