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
from catalogue.versions.frozen_practice import KeptPiece, record_piece
from catalogue.versions.records import read_record
from grading.core.instructions.spelling import spelled
from grading.core.instructions.steps import when_label
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.wordings import FIRST_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.yarn.needs import applies
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
    shown["practice_without"] = _not_made(piece, version_figures(version).pattern, edition.edition)
    return {**shown, "instructions": sections, "has_drawings": has_drawings, "tool_word": tool}


def _not_made(piece: KeptPiece | None, pattern: PatternFile, edition: PrintForm) -> list[str]:
    """Stripes of a practice piece that the options of a garment leave out, or those not chosen yet may."""
    chosen = dict(edition.chosen)
    found = []
    for one in piece.techniques if piece else ():
        parts = [way for part in pattern.yarn_sections for way in part.ways(pattern.option_choices())]
        whens = [part.when for part in parts if part.stripes == one.name and one.kind == "stripes"]
        if not whens or any(not when or (chosen and applies(dict(when), chosen)) for when in whens):
            continue
        only = " or ".join(dict.fromkeys(when_label(when, pattern) for when in whens))
        found.append(spelled(f"{one.label}: only for {only}.", edition.terms))
    return found


def own_options(placement: Placement) -> dict[str, str]:
    """The options of a tester's garment as an edition is asked for them; nothing until all are told."""
    figures = placement_figures(placement)
    if not figures.chosen or figures.pattern.wording == FIRST_WORDING:
        return {}
    if set(figures.chosen) != {option.name for option in figures.pattern.options}:
        return {}
    return {"options": options_text(figures.chosen)}
