"""How fast the page of a pattern with many versions and errata is: against a bare page of the same layout.

Time is that of the processor, so that what else the machine does counts for nothing.
"""

import tempfile
from datetime import UTC, datetime, timedelta

from django.db import connection
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from catalogue.drafts.patterns import load_pattern
from catalogue.models import Erratum, Pattern, Studio, Version
from catalogue.site.benches.catalogue import SETTINGS, open_page, page_times
from catalogue.site.benches.databases import throw_away_database
from catalogue.site.benches.ratios import BenchRatio, BenchResult
from catalogue.site.demo_pictures import add_picture
from catalogue.site.demo_stages import sample_document
from catalogue.versions.freezing import Heading, draft_record
from catalogue.versions.records import canonical, digest_of, read_record
from catalogue.versions.spots import spots_of

SAMPLE = "cinderfell_raglan"
VERSIONS, ERRATA = 15, 30
ROUNDS = 20
# Wanted are 15 ms where the bare page takes 1.25.
MOST_TIMES_BARE = 12
MOST_QUERIES = 12


def measure() -> BenchResult:
    """Measure in a throw-away database and folder, which are made first and gone after."""
    with (
        tempfile.TemporaryDirectory(prefix="evenrow-bench-") as name,
        override_settings(**SETTINGS, MEDIA_ROOT=name),
        throw_away_database(),
    ):
        return measure_page(fill())


def measure_page(pattern: Pattern, *, rounds: int = ROUNDS) -> BenchResult:
    """Ask for the page and for a bare one in turns."""
    address, bare = reverse("pattern_page", args=[pattern.slug]), reverse("bare")
    browser = Client()
    open_page(browser, address)
    with CaptureQueriesContext(connection) as queries:
        open_page(browser, address)
        asked = len(queries)
    page_s, bare_s = page_times(browser, [address, bare], rounds=rounds)
    return BenchResult(
        "visit",
        f"best of {rounds} rounds, {VERSIONS} versions, {ERRATA} errata, time of the processor",
        {
            "pattern page / bare page": BenchRatio(page_s / bare_s, MOST_TIMES_BARE),
            "queries of a pattern page": BenchRatio(asked, MOST_QUERIES),
        },
        {"pattern page, ms": round(page_s * 1000, 1), "bare page, ms": round(bare_s * 1000, 1)},
    )


def fill() -> Pattern:
    """A pattern with its releases, and with errata in many places, which all stand in the last of them."""
    Studio.objects.create(name="Larkmoss Studio", sender="hello@larkmoss.example")
    document = sample_document(SAMPLE)
    pattern = load_pattern(document=document, by=None)
    add_picture(pattern=pattern, name=SAMPLE, document=document)
    versions = [_release(pattern, minor) for minor in range(VERSIONS)]
    record = read_record(versions[-1].record)
    places = [place for _, group in spots_of(record) for place, _ in group if isinstance(place, str)]
    Erratum.objects.bulk_create(
        _erratum(versions[at % (VERSIONS - 1)], places[at % len(places)]) for at in range(ERRATA)
    )
    return pattern


def _release(pattern: Pattern, minor: int) -> Version:
    """A release as it is once published."""
    at = datetime(2026, 3, 1, tzinfo=UTC) + timedelta(days=minor)
    text = canonical(draft_record(pattern, Heading(f"1.{minor}", "release", "", at)))
    return Version.objects.create(
        pattern=pattern,
        major=1,
        minor=minor,
        kind="release",
        state="published",
        record=text,
        sha256=digest_of(text),
        frozen_at=at,
        published_at=at,
    )


def _erratum(found_in: Version, place: str) -> Erratum:
    """A mistake that is confirmed and not corrected."""
    return Erratum(
        pattern=found_in.pattern,
        place=place,
        says="12 sts",
        should_say="14 sts",
        state="confirmed",
        found_in=found_in,
    )
