"""How fast the public list is with ten thousand patterns: against a bare page of the same layout."""

import time
from datetime import UTC, datetime
from itertools import cycle
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
from catalogue.site.benches.ratios import BenchError, BenchRatio, BenchResult
from grading.models import Sheet

PATTERNS, FEW = 10_000, 100
ROUNDS = 150
GARMENTS = ("pullover", "cardigan", "waistcoat", "jacket", "shawl", "skirt", "tunic", "vest")
PLACES = ("Brackenmere", "Cinderfell", "Puffinbay", "Thistledrift", "Fernhollow", "Marlstone", "Heronsgate")
CRAFTS = ("crochet", "tunisian", "knitting")
WEIGHTS = ("Fine", "Light", "Medium", "Bulky")
SIZES = ("XS", "S", "M", "L", "XL", "2X", "3X")
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
    lists, bares = _timed(browser, rounds)
    return BenchResult(
        "catalogue",
        f"{rounds} requests of each, in turns; {len(ASKED)} different searches; {patterns} patterns",
        {
            "throughput of the list / of a bare page": BenchRatio(sum(bares) / sum(lists), 0.25, "at least"),
            "p95 of the list / of a bare page": BenchRatio(_p95(lists) / _p95(bares), 8),
            "queries of a page more than with a hundred patterns": BenchRatio(max(many) - max(few), 0),
        },
        {
            "queries of a page": max(many),
            "list, ms": round(sum(lists) / len(lists) * 1000, 1),
            "bare page, ms": round(sum(bares) / len(bares) * 1000, 1),
            "list, p95 in ms": round(_p95(lists) * 1000, 1),
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
        _ask(browser, reverse("catalogue"), asked)
    return len(queries)


def _timed(browser: Client, rounds: int) -> tuple[list[float], list[float]]:
    """Seconds of each request: of the list, and of the bare page."""
    lists, bares = [], []
    asked = cycle(ASKED)
    for _ in range(rounds):
        lists.append(_ask(browser, reverse("catalogue"), next(asked)))
        bares.append(_ask(browser, reverse("bare"), {}))
    return lists, bares


def _ask(browser: Client, address: str, asked: dict[str, str]) -> float:
    """Seconds until a page is there."""
    started = time.perf_counter()
    answer = browser.get(f"{address}?{urlencode(asked)}")
    seconds = time.perf_counter() - started
    if answer.status_code != 200:
        raise BenchError(f"{address} answers {answer.status_code}: nothing was measured.")
    return seconds


def _p95(seconds: list[float]) -> float:
    """The time that 95 of 100 requests keep to."""
    return sorted(seconds)[int(len(seconds) * 0.95)]
