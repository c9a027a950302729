"""Special stitches as they are read: name, abbreviation, method, pictures, and a chart where one has it."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from catalogue.drawings.stitch_charts import Look
from catalogue.drawings.stitch_sheets import StitchSheet, stitch_sheet
from grading.core.pattern.pattern import SpecialStitchEntry, StitchPatternEntry
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.stitch_patterns.charts import chart_of

_REPEATED = re.compile(r" Repeat the stitches in the frame[^.]*\.")


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
        shown=_shown(entry.shown, look) if entry.shown else None,
        pictures=pictures,
    )


def _shown(entry: StitchPatternEntry, look: Look) -> StitchSheet:
    """The rows that show a stitch among others, as rounds where the pattern is worked in rounds."""
    pattern = look.facts.pattern
    sizes = range(len(pattern.sizes))
    if pattern.wording <= WIDE_WORDING:
        return stitch_sheet(entry, look, sizes)
    entry = replace(entry, rounds=entry.rounds or look.facts.in_rounds)
    sheet = stitch_sheet(entry, look, sizes)
    written = tuple(
        replace(row, head=f"Example, {row.head[:1].lower()}{row.head[1:]}") for row in sheet.written
    )
    sheet = replace(sheet, written=written)
    if all(row.length == entry.multiple for row in chart_of(entry, pattern).rows if row.cells):
        return sheet
    # Rows that change their stitches are worked once on those beneath them, and not repeated over them.
    return replace(sheet, multiple="", reading=_REPEATED.sub("", sheet.reading))
