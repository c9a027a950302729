"""What one maker has chosen, as text in the choices of an edition: options, and shades of their own."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from itertools import islice, product
from typing import Any

from catalogue.versions.records import Record
from grading.core.instructions.blocks import choices_left
from grading.core.pattern.pattern import OptionEntry, PatternFile, PieceEntry, When
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.yarn.colour import parse_shade

# So many combinations of choices are looked through at the most.
MOST_COMBINATIONS = 10_000
OWN_SHADE = "your shade"
_SHADE = re.compile(r"([A-Z])(#[0-9a-f]{6})")

Chosen = tuple[tuple[str, str], ...]


def options_text(chosen: Mapping[str, str]) -> str:
    """Options with their choices as one text of an edition's choices."""
    return ";".join(f"{name}={choice}" for name, choice in sorted(chosen.items()))


def shades_text(shades: Mapping[str, str]) -> str:
    """Shades by colour as one text of an edition's choices."""
    return "".join(f"{colour}{srgb.lower()}" for colour, srgb in sorted(shades.items()))


def read_options(options: Sequence[OptionEntry], text: str) -> Chosen | None:
    """The choice of every option that a text tells: none for an empty one, None for what can't be read."""
    if not text:
        return ()
    names = [option.name for option in options]
    combinations = product(*(option.choices for option in options))
    for choices in islice(combinations, MOST_COMBINATIONS):
        chosen = dict(zip(names, choices, strict=True))
        if options_text(chosen) == text:
            return tuple(chosen.items())
    return None


def read_shades(pattern: PatternFile, text: str) -> dict[str, str] | None:
    """The shades that a text tells, by colour; None for what is none."""
    found = dict(_SHADE.findall(text))
    known = {yarn.colour for yarn in pattern.yarns}
    is_whole = shades_text(found) == text and set(found) <= known
    return found if is_whole and all(parse_shade(one) is not None for one in found.values()) else None


def in_own_shades(record: Record, pattern: PatternFile, text: str) -> Record:
    """A record with a maker's own shades in place of the designer's."""
    own = read_shades(pattern, text)
    if not own:
        return record
    labels = {yarn.colour: yarn.label for yarn in pattern.yarns}
    shades = {
        colour: {"yarn": labels[colour], "shade": OWN_SHADE, "srgb": srgb} for colour, srgb in own.items()
    }
    return {**record, "shades": {**record["shades"], **shades}}


def narrowed(pattern: PatternFile, chosen: Chosen) -> PatternFile:
    """A pattern without what the choices leave out; what is left no longer says for which choices it is.

    Since the third wording what is measured on pieces that are left out is no finished measurement either.
    """
    if not chosen:
        return pattern
    choices = pattern.option_choices()
    yarn_sections = [way for section in pattern.yarn_sections for way in section.ways(choices)]
    pieces = _kept(pattern.pieces, chosen)
    missing = values_left_out(pattern.pieces, pieces) if pattern.wording > WIDE_WORDING else ()
    values = (replace(one, measured=None) if one.name in missing else one for one in pattern.values)
    return replace(
        pattern,
        values=tuple(values),
        sections=_kept(pattern.sections, chosen),
        pieces=pieces,
        joins=_kept(pattern.joins, chosen),
        notions=_kept(pattern.notions, chosen),
        yarn_sections=_kept(yarn_sections, chosen),
    )


def values_left_out(pieces: Iterable[PieceEntry], made: Iterable[PieceEntry]) -> set[str]:
    """The values that stand only on pieces which are not made."""
    names = {piece.name for piece in made}
    on = [(piece.name in names, {line.value for line in piece.dimensions}) for piece in pieces]
    kept = {value for is_made, values in on if is_made for value in values}
    return {value for is_made, values in on if not is_made for value in values} - kept


def only_chosen(pattern: PatternFile, chosen: Chosen) -> PatternFile:
    """A pattern whose options have the one choice that was made of each."""
    made = dict(chosen)
    options = (
        replace(one, choices=(made[one.name],), default=made[one.name]) if one.name in made else one
        for one in pattern.options
    )
    return replace(pattern, options=tuple(options))


def _kept(parts: Sequence[Any], chosen: Chosen) -> tuple[Any, ...]:
    """The parts that can hold with the choices, without the conditions that these meet."""
    only: When = tuple((name, (choice,)) for name, choice in chosen)
    names = dict(chosen)
    return tuple(
        replace(part, when=tuple(one for one in part.when if one[0] not in names))
        for part in parts
        if choices_left([*part.when, *only])
    )
