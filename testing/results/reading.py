"""A tester's copy as a page that flows on a phone: their size and options, in the printed words."""

from typing import Any

from catalogue.drawings.schematics import SCREEN_TYPE_MM
from catalogue.editions.booklet import booklet
from catalogue.editions.choices import home_choices
from catalogue.editions.chosen import options_text
from catalogue.editions.sources import source_of
from catalogue.helps.showing import with_helps
from catalogue.models import Version
from catalogue.practice.showing import shown_piece
from catalogue.versions.frozen_practice import record_piece
from catalogue.versions.records import read_record
from grading.core.pattern.wordings import FIRST_WORDING
from testing.asked.figures import placement_figures, version_figures
from testing.asked.gauge_advice import tool_word
from testing.models import Placement

# What the page shows of all that an edition prints.
SHOWN = (
    "gauge_word",
    "gauges",
    "yarns",
    "yarn_tables",
    "tools",
    "notions",
    "abbreviation_halves",
    "instructions",
    "stitch_sheets",
    "special_stitches",
    "how_to_measure",
    "for_choices",
)


def reading_of(placement: Placement, version: Version) -> dict[str, Any]:
    """What somebody works from, of one size, as the printed copy says it."""
    record = read_record(version.record)
    choices = {**home_choices(record), "sizes": placement.size, **own_options(placement)}
    edition = source_of(record, version_figures(version).graded, choices)
    told = booklet(edition)
    has_drawings = bool(told["schematics"] or told["stripes"])
    sections = with_helps(told["instructions"], [one for one, _ in told["helps"]])
    tool = tool_word(record["pattern"]["craft"])
    shown = {name: told[name] for name in SHOWN}
    taken = {yarn.colour for yarn in placement_figures(placement).yarns}
    shown["yarns"] = [(colour, words) for colour, words in told["yarns"] if colour in taken]
    piece = record_piece(record)
    shown["practice"] = shown_piece(piece, edition.edition, type_mm=SCREEN_TYPE_MM) if piece else None
    return {**shown, "instructions": sections, "has_drawings": has_drawings, "tool_word": tool}


def own_options(placement: Placement) -> dict[str, str]:
    """The options of a tester's garment as an edition is asked for them; nothing until all are told."""
    figures = placement_figures(placement)
    if not figures.chosen or figures.pattern.wording == FIRST_WORDING:
        return {}
    if set(figures.chosen) != {option.name for option in figures.pattern.options}:
        return {}
    return {"options": options_text(figures.chosen)}
