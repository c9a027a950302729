"""What visitors see of published versions: measurements, pieces, yarn; always from frozen records."""

import json
from functools import lru_cache
from typing import Any

from catalogue.drawings.schematics import SCREEN_TYPE_MM, schematics
from catalogue.editions.booklet import (
    Source,
    gauge_lines,
    measurement_tables,
    notion_lines,
    source_of,
    tool_lines,
    yarn_lines,
    yarn_tables,
)
from catalogue.editions.choices import home_choices
from catalogue.editions.size_choice import choosing_words, size_pair
from catalogue.editions.yarn_tables import yarn_note
from catalogue.versions.freezing import record_pattern
from catalogue.versions.records import Record
from grading.core.grade.grade import Graded, grade
from grading.core.printing.size_rows import PageTable

# The releases that visitors look at most; each takes about as much room as its record.
MOST_KEPT = 16
NUMBERS_FROM = ("pattern", "order", "wording")


def public_source(record: Record, units: str, *, size: str = "all") -> Source:
    """A record read for the public page."""
    choices = {**home_choices(record), "units": units, "sizes": size}
    # Known by all that the numbers hang on: writing it takes a hundredth of the time of working them out.
    frozen = json.dumps({part: record[part] for part in NUMBERS_FROM if part in record})
    return source_of(record, _graded(frozen), choices)


def needs_beside_yarn(record: Record, units: str, size: str) -> dict[str, list[str]]:
    """Tools and notions for one size, as the edition of that size prints them."""
    source = public_source(record, units, size=size)
    return {"tools": tool_lines(source), "notions": notion_lines(source)}


def public_page(record: Record, units: str) -> dict[str, Any]:
    """Sizes, finished measurements and yarn of the current release."""
    source = public_source(record, units)
    pair = size_pair(source.facts)
    tables: list[PageTable] = measurement_tables(source, pair)
    return {
        "gauge_word": "gauge" if source.edition.terms == "US" else "tension",
        "gauges": gauge_lines(source),
        "choosing": choosing_words(pair, source.facts, source.edition, source.kept) if pair else "",
        "sizes": source.sizes,
        "summary": record["pattern"].get("summary", ""),
        "measurement_tables": tables,
        "schematics": schematics(
            source.facts, source.graded, source.edition, source.kept, type_mm=SCREEN_TYPE_MM
        ),
        "yarns": list(yarn_lines(source)),
        "yarn_tables": list(yarn_tables(source)),
        "yarn_note": yarn_note(source.facts.pattern),
    }


@lru_cache(MOST_KEPT)
def _graded(frozen: str) -> Graded:
    """The numbers of a pattern, worked out once: it is frozen, and everybody asks for it."""
    return grade(record_pattern(json.loads(frozen)))
