"""A tester's copy as a page that flows on a phone: their size and options, in the printed words."""

from typing import Any

from catalogue.editions.choices import home_choices
from catalogue.editions.chosen import options_text
from catalogue.models import Version
from catalogue.public.reading import reading_of
from catalogue.versions.records import read_record
from grading.core.pattern.wordings import FIRST_WORDING
from testing.asked.figures import placement_figures, version_figures
from testing.models import Placement
from testing.results.counted_rows import counted_rows


def own_reading(placement: Placement, version: Version) -> dict[str, Any]:
    """What a tester works from, of one size, as the printed copy says it; yarns of their garment alone.

    `counted` are the spots of the steps with rows that can be counted after.
    """
    record = read_record(version.record)
    choices = {**home_choices(record), "sizes": placement.size, **own_options(placement)}
    shown = reading_of(record, version_figures(version).graded, choices)
    figures = placement_figures(placement)
    taken = {yarn.colour for yarn in figures.yarns}
    yarns = [(colour, words) for colour, words in shown["yarns"] if colour in taken]
    return {**shown, "yarns": yarns, "counted": {row.spot for row in counted_rows(figures, placement.size)}}


def own_options(placement: Placement) -> dict[str, str]:
    """The options of a tester's garment as an edition is asked for them; nothing until all are told."""
    figures = placement_figures(placement)
    if not figures.chosen or figures.pattern.wording == FIRST_WORDING:
        return {}
    if set(figures.chosen) != {option.name for option in figures.pattern.options}:
        return {}
    return {"options": options_text(figures.chosen)}
