"""What to look at after an edit, whatever made it: lengths of yarn that moved, and girths that fall."""

from collections.abc import Iterator
from typing import Any

from grading.grid.shown_numbers import decimal_text, in_units, unit_of
from grading.sheets.kept_sheets import KeptSheet
from grading.sizes.sizes import falls


def saved_notes(before: KeptSheet, after: KeptSheet, units: str) -> list[str]:
    """What is worth a look after a pattern was edited, by a form or as a whole file."""
    known = falls(before.document)
    return [
        *yarn_notes(before, after, units),
        *(fall for fall in falls(after.document) if fall not in known),
    ]


def yarn_notes(before: KeptSheet, after: KeptSheet, units: str) -> list[str]:
    """A warning where a yarn gets another length in 100 g and its amounts hang on a swatch that stays."""
    if _swatches(before) != _swatches(after):
        return []
    moved = []
    for old, new in _same_yarns(before.document, after.document):
        if old.get("length_per_100g") != new.get("length_per_100g"):
            was, now = _most_metres(before, old["colour"]), _most_metres(after, new["colour"])
            if was is not None and now is not None and abs(was - now) >= 0.5:
                moved.append((new["colour"], was, now))
    return [_says(colour, was, now, units) for colour, was, now in moved]


def _says(colour: str, was: float, now: float, units: str) -> str:
    """The warning, with the most metres before and after."""
    before, after = (decimal_text(in_units(one, "yarn", units), 0) for one in (was, now))
    return (
        f"Yarn {colour}: the swatch was weighed in the yarn before, and its grams stay. So the length needed "
        f"{'falls' if now < was else 'rises'} from {before} to {after} {unit_of('yarn', units)} in the size "
        "that takes most. If you change the yarn, use “Put another yarn in its place” on the yarn page."
    )


def _same_yarns(before: dict[str, Any], after: dict[str, Any]) -> Iterator[tuple[Any, Any]]:
    """Each yarn that was there before, with what it was: of the same colour, or renamed at its place."""
    old, new = before.get("yarns", []), after.get("yarns", [])
    known = {one["colour"]: one for one in old}
    kept = {one["colour"] for one in new}
    for place, entry in enumerate(new):
        at_its_place = old[place] if place < len(old) and old[place]["colour"] not in kept else None
        found = known.get(entry["colour"], at_its_place)
        if found is not None:
            yield found, entry


def _swatches(sheet: KeptSheet) -> dict[str, Any]:
    """The weighed swatches, by the names of their fabrics."""
    return {name: fabric.get("swatch") for name, fabric in sheet.document.get("fabrics", {}).items()}


def _most_metres(sheet: KeptSheet, colour: str) -> float | None:
    """The most metres of a colour over all sizes and options; None where they are not known."""
    needs = [need["colours"].get(colour) for need in sheet.graded.as_json()["yarn"]]
    known = [one for need in needs if need for one in need["length"] if one is not None]
    return max(known, default=None)
