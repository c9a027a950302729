"""How fast the public list is with ten thousand patterns: against a bare page of the same layout.

Time is that of the processor, so that what else the machine does counts for nothing.
"""

from collections.abc import Sequence
from datetime import UTC, datetime
from functools import partial
from typing import Any
from urllib.parse import urlencode

from django.db import connection
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.test import Client, override_settings
from django.test.utils import CaptureQueriesContext, setup_databases, teardown_databases
from django.urls import include, path, reverse

from catalogue.models import Listing, ListingMark, Pattern, Studio, Version
from catalogue.public.listings import renew_choices
from catalogue.public.search_terms import garment_named
from catalogue.site.benches.ratios import BenchError, BenchRatio, BenchResult, processor_times
from grading.models import Sheet

PATTERNS, FEW = 10_000, 100
ROUNDS = 20
IN_A_ROW = 5  # a page is opened as often one after the other, as the first time takes longer
GARMENTS = ("pullover", "cardigan", "waistcoat", "jacket", "shawl", "skirt", "tunic", "vest")
PLACES = ("Brackenmere", "Cinderfell", "Puffinbay", "Thistledrift", "Fernhollow", "Marlstone", "Heronsgate")
CRAFTS = ("crochet", "tunisian", "knitting")
WEIGHTS = ("Fine", "Light", "Medium", "Bulky")
SIZES = ("XS", "S", "M", "L", "XL", "2X", "3X")
OPENED = 2  # of these the first are the list itself: its first page, and one far behind
ASKED: tuple[dict[str, str], ...] = (
    {},
    {"page": "200"},
    {"craft": "tunisian"},
    {"size": "3X", "weight": "Bulky"},
    {"garment": "shawl", "wearer": "adult"},
    {"words": "cardigan"},
    {"words": "fernhollow waist"},
    {"words": "number7777"},
    {"craft": "knitting", "size": "M", "weight": "Light", "words": "jacket", "page": "3"},
)
PLAIN_FILES = {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"}
# Pages are answered without a browser, TLS or collected files.
ANSWERING: dict[str, Any] = {
    "ALLOWED_HOSTS": ["testserver"],
    "SECURE_SSL_REDIRECT": False,
    "STORAGES": {
        "default": {"BACKEND": "django.core.files.storage.InMemoryStorage"},
        "staticfiles": PLAIN_FILES,
    },
}
SETTINGS = {**ANSWERING, "ROOT_URLCONF": "catalogue.site.benches.catalogue"}


def bare(request: HttpRequest) -> HttpResponse:
    """The layout of a public page with nothing on it."""
    return render(request, "public.html")


urlpatterns = [path("bare/", bare, name="bare"), path("", include("catalogue.site.urls"))]


def measure() -> BenchResult:
    """Measure in a throw-away database, which is made first and destroyed after."""
    with override_settings(**SETTINGS):
        databases = setup_databases(verbosity=0, interactive=False)
        try:
            return measure_list(PATTERNS, rounds=ROUNDS)
        finally:
            teardown_databases(databases, verbosity=0)


def measure_list(patterns: int, *, rounds: int) -> BenchResult:
    """Fill the list, then ask for it and for the bare page in turns."""
    browser = Client()
    Studio.objects.create(name="Larkmoss Studio", sender="hello@larkmoss.example")
    fill(FEW)
    few = [_queries(browser, asked) for asked in ASKED]
    fill(patterns - FEW, start=FEW)
    many = [_queries(browser, asked) for asked in ASKED]
    bare_s, *asked_s = _processor_times(browser, rounds)
    opened_s, searched_s = asked_s[:OPENED], asked_s[OPENED:]
    return BenchResult(
        "catalogue",
        f"best of {rounds} rounds, {patterns} patterns, {len(searched_s)} searches, time of the processor",
        {
            "throughput of the list / of a bare page": BenchRatio(bare_s / _mean(opened_s), 0.4, "at least"),
            "throughput of searches / of a bare page": BenchRatio(
                bare_s / _mean(searched_s), 0.25, "at least"
            ),
            "slowest search / a bare page": BenchRatio(max(searched_s) / bare_s, 8),
            "queries of a page more than with a hundred patterns": BenchRatio(max(many) - max(few), 0),
        },
        {
            "queries of a page": max(many),
            "list, ms": round(_mean(opened_s) * 1000, 1),
            "searches, ms": round(_mean(searched_s) * 1000, 1),
            "bare page, ms": round(bare_s * 1000, 1),
        },
    )


def fill(number: int, *, start: int = 0) -> None:
    """Store released patterns as the list has them."""
    places = range(start, start + number)
    sheets = Sheet.objects.bulk_create([Sheet() for _ in places], batch_size=500)
    patterns = Pattern.objects.bulk_create(
        [
            Pattern(slug=f"pattern-{at}", title=_title(at), sheet=sheet)
            for at, sheet in zip(places, sheets, strict=True)
        ],
        batch_size=500,
    )
    versions = Version.objects.bulk_create([_version(one) for one in patterns], batch_size=500)
    pairs = zip(places, patterns, versions, strict=True)
    listings = Listing.objects.bulk_create([_listing(*pair) for pair in pairs], batch_size=500)
    marks = [
        ListingMark(listing=listing, mark=mark)
        for at, listing in zip(places, listings, strict=True)
        for mark in _marks(at)
    ]
    ListingMark.objects.bulk_create(marks, batch_size=2_000)
    renew_choices()


def _title(at: int) -> str:
    """The title of one of many patterns."""
    return f"{PLACES[at % len(PLACES)]} {GARMENTS[at % len(GARMENTS)].title()} Number{at}"


def _version(pattern: Pattern) -> Version:
    """Its release; the list never reads the record."""
    at = datetime(2026, 3, 1, tzinfo=UTC)
    return Version(
        pattern=pattern,
        major=1,
        minor=0,
        kind="release",
        state="published",
        record="{}",
        frozen_at=at,
        published_at=at,
    )


def _listing(at: int, pattern: Pattern, version: Version) -> Listing:
    """What the list shows of it."""
    return Listing(
        pattern=pattern,
        version=version,
        slug=pattern.slug,
        number=version.number,
        title=pattern.title,
        order=f"{pattern.title.casefold()} {pattern.slug}",
        summary=f"A {GARMENTS[at % len(GARMENTS)]} worked from the top, with a deep rib and set-in sleeves.",
        craft=CRAFTS[at % len(CRAFTS)],
        first_size=SIZES[0],
        last_size=SIZES[-1],
        weights=WEIGHTS[at % len(WEIGHTS)],
        photo_url="" if at % 3 else reverse("photo_file", args=[f"{pattern.pk:064d}-480.jpg"]),
        photo_width_px=480,
        photo_height_px=360,
    )


def _marks(at: int) -> list[str]:
    """What it is found by."""
    words = {*_title(at).casefold().split(), "worked", "top", "deep", "rib", "sleeve"}
    return [
        f"craft {CRAFTS[at % len(CRAFTS)]}",
        f"garment {garment_named(_title(at), '')}",
        "wearer adult",
        f"weight {WEIGHTS[at % len(WEIGHTS)]}",
        *(f"size {size}" for size in SIZES),
        *(f"word {word}" for word in sorted(words)),
    ]


def _queries(browser: Client, asked: dict[str, str]) -> int:
    """How many queries a page of the list takes."""
    with CaptureQueriesContext(connection) as queries:
        open_page(browser, f"{reverse('catalogue')}?{urlencode(asked)}")
    return len(queries)


def _processor_times(browser: Client, rounds: int) -> list[float]:
    """The least time of the processor (s) of a bare page, and of each thing that is asked of the list."""
    listed = [f"{reverse('catalogue')}?{urlencode(asked)}" for asked in ASKED]
    return page_times(browser, [reverse("bare"), *listed], rounds=rounds)


def page_times(browser: Client, addresses: Sequence[str], *, rounds: int) -> list[float]:
    """The least time of the processor (s) that each page takes; in each round all take turns."""

    def open_some(address: str) -> None:
        for _ in range(IN_A_ROW):
            open_page(browser, address)

    times = processor_times([partial(open_some, address) for address in addresses], rounds=rounds)
    return [took_s / IN_A_ROW for took_s in times]


def open_page(browser: Client, address: str) -> None:
    """Open a page."""
    answer = browser.get(address)
    if answer.status_code != 200:
        raise BenchError(f"{address} answers {answer.status_code}: nothing was measured.")


def _mean(seconds: list[float]) -> float:
    """The mean of some times."""
    return sum(seconds) / len(seconds)
