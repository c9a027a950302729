"""Special stitches as they are read: name, abbreviation, method, pictures, and a chart where one has it."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from catalogue.drawings.stitch_charts import Look
from catalogue.drawings.stitch_sheets import StitchSheet, stitch_sheet
from grading.core.pattern.pattern import SpecialStitchEntry


@dataclass(frozen=True)
class SpecialStitch:
    """Everything that is printed of one special stitch; `pictures` are as its record keeps them."""

    name: str
    label: str
    short: str
    method: tuple[str, ...]
    shown: StitchSheet | None
    pictures: Sequence[Any] = ()


def special_stitch(entry: SpecialStitchEntry, look: Look, pictures: Sequence[Any] = ()) -> SpecialStitch:
    """One special stitch in the terms of an edition, its method in lines."""
    facts, edition = look.facts, look.edition
    lines = (" ".join(line.split()) for line in entry.method.splitlines())
    return SpecialStitch(
        name=entry.name,
        label=facts.plain(entry.label, edition),
        short=facts.plain(entry.short, edition),
        method=tuple(facts.plain(line, edition) for line in lines if line),
        shown=stitch_sheet(entry.shown, look, range(len(facts.pattern.sizes))) if entry.shown else None,
        pictures=pictures,
    )
