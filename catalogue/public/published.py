"""What visitors see of published versions: measurements, pieces, yarn; always from frozen records."""

import json
from typing import Any, NamedTuple

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from catalogue.drawings.schematics import SCREEN_TYPE_MM, schematics
from catalogue.drawings.stitch_charts import SCREEN_CELL_MM, Look
from catalogue.drawings.stitch_sheets import stitch_sheet
from catalogue.editions.booklet import measurement_tables
from catalogue.editions.choices import home_choices
from catalogue.editions.needs import aid_lines, gauge_lines, tool_lines, yarn_lines, yarn_tables, yarn_words
from catalogue.editions.notions import notion_lines
from catalogue.editions.size_choice import choosing_words, size_pair
from catalogue.editions.sources import Source, source_of
from catalogue.models import Version
from catalogue.public.necks import neck_lines
from catalogue.versions.frozen_grades import frozen_graded, version_digest
from catalogue.versions.frozen_work import kept
from catalogue.versions.records import Record, frozen_record
from grading.core.printing.size_rows import PageTable
from grading.core.stitch_patterns.charts import chart_of

# Of a chart on the public page: so many cells are about 25 kB, a quarter of what the page may weigh.
MOST_CELLS = 160


class PublishedNumbers(NamedTuple):
    """What the page of a release says in numbers, as HTML: the garment, and the yarn to buy."""

    garment: SafeString
    yarn: SafeString


def public_source(record: Record, units: str, *, size: str = "all") -> Source:
    """A record read for the public page."""
    choices = {**home_choices(record), "units": units, "sizes": size}
    return source_of(record, frozen_graded(record), choices)


def needs_beside_yarn(record: Record, units: str, size: str) -> dict[str, list[str]]:
    """Tools and notions for one size, as the edition of that size prints them."""
    source = public_source(record, units, size=size)
    tools = [*tool_lines(source), *aid_lines(source)]
    return {"tools": tools, "notions": notion_lines(source.facts, source.edition, source.kept)}


def published_numbers(version: Version, units: str) -> PublishedNumbers:
    """Sizes, finished measurements, pieces and charts of a release, and its yarn: made once, kept."""
    shows_chart = version.pattern.shows_chart

    def make() -> str:
        record = frozen_record(version.record)
        page = {
            **_numbers(record, units),
            **_charts(record, units, shows_chart=shows_chart),
            "units": units,
        }
        names = ("catalogue/public/_numbers.html", "catalogue/public/_to_buy.html")
        return json.dumps([render_to_string(name, page) for name in names])

    # Made from our own templates by this very program: its fingerprint is part of what it is known by.
    text = kept("page", (version_digest(version), units, str(shows_chart)), make)
    garment, yarn = json.loads(text)
    return PublishedNumbers(mark_safe(garment), mark_safe(yarn))  # noqa: S308


def prepare_pages(version: Version) -> None:
    """Have the numbers of a release at hand before the first visitor asks for them."""
    if version.kind == "release" and version.state == "published":
        published_numbers(version, str(frozen_record(version.record)["pattern"]["home_units"]))


def _numbers(record: Record, units: str) -> dict[str, Any]:
    """What a release says in numbers, as its page shows it."""
    source = public_source(record, units)
    pair = size_pair(source.facts, source.edition)
    tables: list[PageTable] = measurement_tables(source, pair)
    return {
        "gauge_word": "gauge" if source.edition.terms == "US" else "tension",
        "gauges": gauge_lines(source),
        "choosing": choosing_words(pair, source.facts, source.edition, source.kept) if pair else "",
        "measurement_tables": tables,
        "necks": neck_lines(source),
        "schematics": schematics(
            source.facts, source.graded, source.edition, source.kept, type_mm=SCREEN_TYPE_MM
        ),
        "yarns": [(colour, _named_once(colour, words)) for colour, words in yarn_lines(source)],
        "yarn_tables": list(yarn_tables(source)),
        "yarn_note": yarn_words(source),
    }


def _named_once(colour: str, words: str) -> str:
    """What a colour is, without “Yarn A” where it has no other name."""
    return words.removeprefix(f"Yarn {colour}").removeprefix("; ")


def _charts(record: Record, units: str, *, shows_chart: bool) -> dict[str, Any]:
    """The names of the charts that the PDF has, and a small one whole where the designer lets it be seen."""
    source = public_source(record, units)
    look = Look(source.facts, source.edition, record["shades"], SCREEN_CELL_MM)
    charted = [
        (chart_of(entry, source.facts.pattern), entry) for entry in source.facts.pattern.stitch_patterns
    ]
    drawn = [(sum(len(row.cells) for row in chart.rows), entry) for chart, entry in charted if chart.is_drawn]
    small = [(cells, entry) for cells, entry in drawn if cells <= MOST_CELLS]
    smallest = min(small, key=lambda one: one[0])[1] if shows_chart and small else None
    return {
        "chart_names": [source.facts.plain(entry.label, source.edition) for _, entry in drawn],
        "chart": stitch_sheet(smallest, look, source.kept) if smallest else None,
    }
