"""What visitors see of published versions: lists, measurements, yarn, changes; always from frozen records."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from catalogue.booklet import Source, measurement_tables, source_of, yarn_lines, yarn_tables
from catalogue.choices import home_choices
from catalogue.freezing import record_pattern
from catalogue.models import Photo, Version
from catalogue.records import Record, read_record
from catalogue.schematics import SCREEN_TYPE_MM, schematics
from catalogue.size_rows import SizeTable
from grading.core.grade import grade


@dataclass(frozen=True)
class Listed:
    """A published pattern in the list."""

    version: Version
    record: Record
    photo: Photo | None

    @property
    def sizes(self) -> list[str]:
        """Its sizes."""
        return list(self.record["results"]["sizes"])

    @property
    def summary(self) -> str:
        """What it is, in a sentence or two; empty where nothing is said."""
        return str(self.record["pattern"].get("summary", ""))


def newest_releases() -> list[Listed]:
    """The current release of every pattern that has one, by title."""
    newest: dict[int, tuple[int, int, int]] = {}
    released = Version.objects.filter(kind="release", state="published")
    for pk, pattern, major, minor in released.values_list("pk", "pattern_id", "major", "minor"):
        newest[pattern] = max(newest.get(pattern, (-1, -1, -1)), (major, minor, pk))
    current = released.filter(pk__in=[pk for *_, pk in newest.values()])
    listed = [
        Listed(version, read_record(version.record), next(iter(version.pattern.photos.all()), None))
        for version in current.select_related("pattern").prefetch_related("pattern__photos")
    ]
    return sorted(listed, key=lambda one: str(one.record["title"]).casefold())


def filter_listed(listed: Sequence[Listed], *, craft: str, size: str, words: str) -> list[Listed]:
    """Those that fit one line of filters; an empty filter lets everything through."""
    wanted = words.casefold().split()
    return [
        one
        for one in listed
        if (not craft or one.record["pattern"]["craft"] == craft)
        and (not size or size in one.sizes)
        and all(word in _searched(one) for word in wanted)
    ]


def _searched(one: Listed) -> str:
    """The words that a search looks through: title, summary, yarn."""
    document = one.record["pattern"]
    yarns = " ".join(yarn["label"] for yarn in document.get("yarns", []))
    return f"{document['title']} {document.get('summary', '')} {yarns}".casefold()


def public_source(record: Record, units: str) -> Source:
    """A record read for the public page."""
    choices = {**home_choices(record), "units": units}
    return source_of(record, grade(record_pattern(record)), choices)


def public_page(record: Record, units: str) -> dict[str, Any]:
    """Sizes, finished measurements and yarn of the current release."""
    source = public_source(record, units)
    tables: list[SizeTable] = measurement_tables(source)
    return {
        "sizes": source.sizes,
        "summary": record["pattern"].get("summary", ""),
        "measurement_tables": tables,
        "schematics": schematics(
            source.facts, source.graded, source.edition, source.kept, type_mm=SCREEN_TYPE_MM
        ),
        "yarns": list(yarn_lines(source)),
        "yarn_tables": list(yarn_tables(source)),
    }
