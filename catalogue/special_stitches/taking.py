"""Special stitches in a pattern: taken over from the studio, and told of when the studio changes them."""

import re
from dataclasses import dataclass
from typing import Any, cast

from catalogue.models import StitchState
from catalogue.special_stitches.stitches import WORDS, newest_states
from catalogue.versions.frozen_stitches import states_in
from grading.core.instructions.terms import Craft, translate
from grading.core.printing.edition import Terms
from grading.sheets.documents import Document

PART = "special_stitches"
_NOT_IN_A_NAME = re.compile(r"[^a-z0-9]+")
# As people read what a state says.
SAID = {
    "label": "Name",
    "short": "Abbreviation",
    "craft": "Craft",
    "terms": "Terms",
    "method": "How it is worked",
    "multiple": "Repeat of the chart",
    "plus": "Edge stitches of the chart",
    "rows": "Rows of the chart",
}


@dataclass(frozen=True)
class WordChange:
    """What a state of the studio's says otherwise than the one that a pattern took over."""

    what: str
    old: str
    new: str


@dataclass(frozen=True)
class StudioChange:
    """A special stitch of a pattern that the studio has changed since."""

    name: str
    label: str
    newest: StitchState
    differs: tuple[WordChange, ...]


class NoSuchStitch(Exception):
    """The pattern has no special stitch of this name any more; the text says so."""


def entry_of(state: StitchState, document: Document, name: str = "") -> dict[str, Any]:
    """A state of the studio's as a pattern has it, in the terms of the pattern."""
    craft, home = cast("Craft", state.craft), cast("Terms", state.terms)

    def put(text: str) -> str:
        return translate(text, home, cast("Terms", document["home_terms"]), craft)

    shown = {"multiple": state.multiple, "plus": state.plus, "rows": [put(row) for row in state.rows]}
    return {
        "name": name or free_name(state.label, document),
        "label": put(state.label),
        "short": put(state.short),
        "method": put(state.method),
        **({} if state.craft == document["craft"] else {"craft": state.craft}),
        **(shown if state.rows else {}),
        "of_studio": state.stitch.code,
        "state": state.number,
    }


def free_name(label: str, document: Document) -> str:
    """A name made of a label that no other special stitch of the pattern has."""
    stem = _NOT_IN_A_NAME.sub("_", label.lower()).strip("_")[:60]
    stem = stem if stem[:1].isalpha() else f"stitch_{stem}".strip("_")
    taken = {one["name"] for one in document.get(PART, ())}
    return next(name for name in (stem, *(f"{stem}_{n}" for n in range(2, 200))) if name not in taken)


def taken_over(state: StitchState, document: Document) -> Document:
    """A pattern with a special stitch of the studio's as it is now: a new one, or in the place of the old.

    Its abbreviation leaves the pattern's own list, for it is told with the stitch from now on.
    """
    entries = list(document.get(PART, ()))
    place = next((i for i, one in enumerate(entries) if one.get("of_studio") == state.stitch.code), None)
    entry = entry_of(state, document, "" if place is None else entries[place]["name"])
    if place is None:
        entries.append(entry)
    else:
        entries[place] = entry
    others = {
        short: meaning
        for short, meaning in document.get("abbreviations", {}).items()
        if short.casefold() != entry["short"].casefold()
    }
    rest = {key: content for key, content in document.items() if key != "abbreviations"}
    return {**rest, **({"abbreviations": others} if others else {}), PART: entries}


def kept_as_it_is(document: Document, name: str, number: int) -> Document:
    """A pattern that keeps its words of a special stitch against the studio's state of this number.

    Raises:
        NoSuchStitch: It has none of this name.
    """
    _require(document, name)
    entries = [{**one, "kept_at": number} if one["name"] == name else one for one in document[PART]]
    return {**document, PART: entries}


def without_stitch(document: Document, name: str) -> Document:
    """A pattern without one of its special stitches.

    Raises:
        NoSuchStitch: It has none of this name.
    """
    _require(document, name)
    entries = [one for one in document[PART] if one["name"] != name]
    rest = {key: content for key, content in document.items() if key != PART}
    return {**rest, **({PART: entries} if entries else {})}


def _require(document: Document, name: str) -> None:
    """Refuse a name that no special stitch has."""
    if name not in {one["name"] for one in document.get(PART, ())}:
        raise NoSuchStitch("Somebody took this stitch out meanwhile: look at the list again.")


def studio_changes(document: Document) -> list[StudioChange]:
    """What the studio has changed in the special stitches of a pattern, unless it was kept as it is."""
    if not document.get(PART):
        return []
    newest = {one.stitch.code: one for one in newest_states()}
    taken, found = states_in(document), []
    for one in document[PART]:
        now, old = newest.get(one.get("of_studio", "")), taken.get(one["name"])
        if now is None or old is None or now.number <= max(old.number, one.get("kept_at", 0)):
            continue
        if differs := tuple(_differences(old, now)):
            found.append(StudioChange(one["name"], one["label"], now, differs))
    return found


def _differences(old: StitchState, new: StitchState) -> list[WordChange]:
    """What two states say differently, and whether their pictures are others."""
    changes = [
        WordChange(SAID[key], _as_text(getattr(old, key)), _as_text(getattr(new, key)))
        for key in WORDS
        if getattr(old, key) != getattr(new, key)
    ]
    before, after = ([(one.digest, one.alt, one.caption) for one in of.pictures.all()] for of in (old, new))
    if before != after:
        changes.append(WordChange("Pictures", _alts(old), _alts(new)))
    return changes


def _as_text(said: Any) -> str:
    """What a state says, as people read it."""
    return " / ".join(said) if isinstance(said, list) else str(said)


def _alts(state: StitchState) -> str:
    """What the pictures of a state show."""
    return "; ".join(one.alt for one in state.pictures.all()) or "none"
