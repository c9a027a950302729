"""Lines of the grid whose one cell says all of them: fabrics, pick-ups, parts whose yarn is counted."""

import re
from collections.abc import Mapping
from typing import Any

from catalogue.sheets.grid_cells import (
    CellRefusedError,
    label_of_line,
    plain_number,
    readable_formula,
    size_cells,
)
from grading.core.formula.dimensions import ROW, STITCH, Dimension
from grading.grid.grid import BY_CHOICE

Entry = dict[str, Any]
Typed = dict[str, str]

_NUMBER = r"([0-9]+(?:[.,][0-9]+)?)"
_GAUGE = re.compile(
    rf"\s*{_NUMBER}\s*(?:sts?|stitch(?:es)?)?\s*[x×,/]\s*{_NUMBER}\s*(?:rows?|rounds?)?\s*"
    r"(?:over|to|in|/)\s*(10 ?cm|4 ?in)\s*"
    rf"(?:,\s*(?:swatch\s+{_NUMBER}\s*[x×]\s*{_NUMBER}\s*(?:weighs)?\s*)?{_NUMBER}\s*(g|kg|oz)\s*)?",
    re.ASCII,
)
_ALONG = re.compile(
    r"\s*([1-9][0-9]{0,3})(?:\s*(?:per|to|in)\s*([1-9][0-9]{0,3}))?\s+(?:along|of)\s+([a-z0-9_]+)\s*",
    re.ASCII,
)
_COLOUR = re.compile(r"[A-Z][A-Za-z0-9]{0,3}", re.ASCII)


def take_fabric(typed: Typed, entry: Entry | None) -> Entry:
    """A fabric: its label, its gauge, and what a swatch of it weighs.

    Without a swatch of its own the weight is that of the square that the gauge was counted on.
    """
    if size_cells(typed):
        raise CellRefusedError("A fabric has one gauge for all sizes: type it beside its label.",
                               size_cells(typed)[0][0])  # fmt: skip
    if "kind" in typed:
        raise CellRefusedError("A fabric has no unit of its own.", "kind")
    made = entry or {"label": ""}
    made = {**made, "label": label_of_line(typed, made["label"])}
    if entry is not None and "source" not in typed:
        return made
    found = _GAUGE.fullmatch(typed.get("source", ""))
    if not found:
        says = "Write the gauge like this: 22 stitches, 30 rows over 10 cm. With a weighed square: …, 12 g."
        raise CellRefusedError(says, "source")
    stitches, rows, over, worked_stitches, worked_rows, weight, unit = found.groups()
    made |= {"stitches": _number(stitches), "rows": _number(rows)}
    made["over"] = "10 cm" if over.startswith("10") else "4 in"
    before = made.pop("swatch", {})
    if weight:
        weighed = {"stitches": _number(worked_stitches or stitches), "rows": _number(worked_rows or rows)}
        made["swatch"] = {**weighed, "weight": f"{weight.replace(',', '.')} {unit}"}
        if before.get("computed") and made["swatch"]["weight"] == before["weight"]:
            made["swatch"]["computed"] = True
    return made


def take_pick_up(typed: Typed, entry: Entry | None, kinds: Mapping[str, Dimension]) -> Entry:
    """A pick-up: so many stitches for so many rows or stitches of a line."""
    if size_cells(typed) or "kind" in typed:
        where = size_cells(typed)[0][0] if size_cells(typed) else "kind"
        raise CellRefusedError("A pick-up is calculated: change what it is picked up along.", where)
    if entry is not None and "label" in typed:
        raise CellRefusedError("Open the pick-up to give it another name.", "label")
    label_of_line(typed, "")
    if entry is not None and "source" not in typed:
        return entry
    found = _ALONG.fullmatch(typed.get("source", ""))
    if not found:
        raise CellRefusedError(
            "Write how many stitches for how many rows of a line, such as: 3 per 4 along front_rows.",
            "source",
        )
    stitches, of, count = found.groups()
    of_what = ROW if count.isdecimal() else kinds.get(count)
    if of_what not in {ROW, STITCH}:
        raise CellRefusedError(
            f"“{count}” is not a line of rows or stitches: name one, such as front_rows.", "source"
        )
    content = {
        "along": "row ends" if of_what == ROW else "stitches",
        "count": int(count) if count.isdecimal() else count,
        "ratio": f"{stitches} per {of or 1}",
    }
    return {**(entry or {}), **content}


def take_yarn_part(typed: Typed, entry: Entry | None, fabrics: list[str], colours: list[str]) -> Entry:
    """A part whose yarn is counted: its colour and fabric, and stitches × rows."""
    if size_cells(typed):
        raise CellRefusedError("Change its yarn on the Yarn page. Here you can change its formula.",
                               size_cells(typed)[0][0])  # fmt: skip
    name = label_of_line(typed, entry["name"] if entry else "")
    if not fabrics:
        raise CellRefusedError("Add a fabric with a weighed swatch first.", "label")
    made = entry or {"fabric": fabrics[0], "worked": "", "colour": colours[0] if colours else "A"}
    made = {**made, "name": name}
    for word in re.split(r"\s*,\s*", typed.get("kind", "").strip()) if typed.get("kind", "").strip() else ():
        made = _with_word(made, word, fabrics, colours)
    if entry is not None and "source" not in typed:
        return made
    return {**made, "worked": readable_formula(typed.get("source", "").strip())}


def _with_word(made: Entry, word: str, fabrics: list[str], colours: list[str]) -> Entry:
    """A part in the fabric or colour that a word names; stripes are chosen in its form."""
    if word in fabrics:
        return {**made, "fabric": word}
    if "by_choice" in made and word == BY_CHOICE:
        return made
    if "stripes" in made and word == f"stripes {made['stripes']}":
        return made
    if word not in colours and not _COLOUR.fullmatch(word):
        raise CellRefusedError(
            f"“{word}” is neither a colour nor a fabric: write A, {fabrics[0]}. Open the part for stripes.",
            "kind",
        )
    return {**{key: one for key, one in made.items() if key not in {"stripes", "rows"}}, "colour": word}


def _number(text: str) -> int | float:
    """A number with a decimal point or comma."""
    return plain_number(text.replace(",", "."))
