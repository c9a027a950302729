"""The public list: what it shows and is searched by is stored at each release, and read without a record."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from html import escape
from typing import Any

from django.db import connection, transaction
from django.db.models import BooleanField, Case, Count, Exists, OuterRef, Q, QuerySet, Value, When
from django.utils.safestring import SafeString

from catalogue.editions.glance import fitting_weights, weight_words
from catalogue.models import (
    Holder,
    Listing,
    ListingChoice,
    ListingMark,
    Pattern,
    SellingFacts,
    ShopLink,
    Version,
)
from catalogue.models.selling import SEASONS
from catalogue.photos.photos import photos_of
from catalogue.public.body_terms import GIRTHS, AskedBody, body_marks
from catalogue.public.own_size import fit_marks, size_of_marks
from catalogue.public.search_terms import garment_named, terms_of
from catalogue.versions.freezing import record_pattern
from catalogue.versions.records import Record, read_record
from catalogue.versions.versions import current_release
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.schema import schema
from grading.core.yarn.lengths import weights_of_length
from grading.core.yarn.weights import YARN_WEIGHTS

PER_PAGE = 15
MOST_WORDS = 5
LONGEST_MARK = 60
# Each listing says how it was marked; those that were marked otherwise before are marked anew.
MARKED_AS = "marked 7"
# What the list is filtered by, beside words and a measurement of the body.
KINDS = ("craft", "garment", "wearer", "weight", "size", "level", "technique", "season", "tag")
# Kinds whose words are the seller's own: found whatever their capitals; the most used are offered.
OWN_WORDS = {"technique": "techniques", "tag": "tags"}
MOST_OFFERED = 50
_COLUMNS = (
    "slug",
    "title",
    "summary",
    "craft",
    "first_size",
    "last_size",
    "weights",
    "photo_url",
    "photo_width_px",
    "photo_height_px",
    "is_had",
)


@dataclass(frozen=True)
class Listed:
    """One pattern as the list prints it."""

    slug: str
    title: str
    summary: str
    note: str
    photo_url: str
    photo_width_px: int
    photo_height_px: int
    is_had: bool
    """Whether it can be had: it is free, in a shop, or somebody has bought it."""
    own_size: str = ""
    """The size for the body that was asked for, in a few words."""


@dataclass(frozen=True)
class ListPage:
    """One page of the list, and whether more follow."""

    listed: list[Listed]
    number: int
    has_next: bool

    @property
    def before(self) -> int:
        """The number of the page before."""
        return self.number - 1

    @property
    def after(self) -> int:
        """The number of the page after."""
        return self.number + 1


@transaction.atomic
def list_pattern(pattern: Pattern) -> None:
    """Store what the list shows of a pattern's current release; nothing of one that is retired."""
    # Fetched again: between freezing and publishing somebody may have taken it out of the list.
    pattern = Pattern.objects.select_for_update(no_key=True).get(pk=pattern.pk)
    Listing.objects.filter(pattern=pattern).delete()
    current = current_release(pattern)
    if current is not None and pattern.retired_at is None:
        record = read_record(current.record)
        core = record_pattern(record)
        listing = Listing.objects.create(**_shown(pattern, current, record, core))
        marks = {
            *_marks(record, core),
            *_selling_marks(pattern),
            *(mark[:LONGEST_MARK] for mark in fit_marks(record)),
        }
        ListingMark.objects.bulk_create(ListingMark(listing=listing, mark=mark) for mark in sorted(marks))
    renew_choices()


def renew_choices() -> None:
    """Store what the filters offer: of each kind what there is."""
    found = ListingMark.objects.all()
    for kind in ("word", "body", "fits", *OWN_WORDS):
        found = found.exclude(mark__startswith=f"{kind} ")
    marks = set(found.exclude(mark=MARKED_AS).values_list("mark", flat=True).distinct())
    marks |= {f"body {girth}" for girth in GIRTHS if _has_any(f"body {girth} ")}
    marks |= set(_own_words())
    wanted = []
    for position, mark in enumerate(sorted(marks, key=choice_order)):
        kind, _, label = mark.partition(" ")
        wanted.append(ListingChoice(kind=kind, label=label, position=position))
    ListingChoice.objects.all().delete()
    ListingChoice.objects.bulk_create(wanted)


def _own_words() -> Iterator[str]:
    """The most used of the seller's own words, each as it was typed first."""
    kept = SellingFacts.objects.filter(pattern__listing__isnull=False).order_by("pk")
    spelled: dict[str, str] = {}
    for words in kept.values(*OWN_WORDS.values()):
        for kind, part in OWN_WORDS.items():
            for word in words[part]:
                spelled.setdefault(own_mark(kind, word), f"{kind} {word}"[:LONGEST_MARK])
    for kind in OWN_WORDS:
        marks = ListingMark.objects.filter(**_begins(f"{kind} ")).values_list("mark", flat=True)
        used = marks.annotate(times=Count("pk")).order_by("-times", "mark")
        yield from (spelled.get(mark, mark) for mark in used[:MOST_OFFERED])


def own_mark(kind: str, word: str) -> str:
    """The mark of one of the seller's own words, whatever its capitals."""
    return f"{kind} {word.casefold()}"[:LONGEST_MARK]


def choices() -> dict[str, list[str]]:
    """What the filters offer, by kind."""
    found: dict[str, list[str]] = {kind: [] for kind in (*KINDS, "body")}
    for kind, label in ListingChoice.objects.values_list("kind", "label"):
        found[kind].append(label)
    return found


def options_of(labels: list[str], asked: str, words: Mapping[str, str] | None = None) -> SafeString:
    """The options of a filter, none where there is no choice; a template takes several times as long.

    What is asked for and not offered, such as a tag that few patterns have, is an option too. `words` are
    read in place of a label.
    """
    if len(labels) < 2 and not asked:
        return SafeString()
    chosen = next((one for one in labels if one.casefold() == asked.casefold()), asked)
    shown = labels if chosen in labels or not chosen else [*labels, chosen]
    return SafeString("".join(_option(one, (words or {}).get(one, ""), chosen) for one in shown))


def _option(label: str, words: str, chosen: str) -> str:
    """One option; its value stands there where visitors read other words."""
    value = f' value="{escape(label)}"' if words else ""
    sign = " selected" if label == chosen else ""
    return f"<option{value}{sign}>{escape(words or label)}</option>"


def search_listings(asked: dict[str, str], body_mark: str = "") -> QuerySet[Listing]:
    """The listings that fit one line of filters, in order; an empty filter lets everything through."""
    found = Listing.objects.all()
    if body_mark:
        found = found.filter(_carries(mark=body_mark))
    for kind in KINDS:
        if asked.get(kind):
            mark = (
                own_mark(kind, asked[kind]) if kind in OWN_WORDS else f"{kind} {asked[kind]}"[:LONGEST_MARK]
            )
            found = found.filter(_carries(mark=mark))
    for word in list(terms_of(asked.get("words", "")))[:MOST_WORDS]:
        marked = ListingMark.objects.filter(**_begins(f"word {word}"[:LONGEST_MARK]))
        found = found.filter(pk__in=marked.values("listing"))
    return found


def list_page(found: QuerySet[Listing], number: int, body: AskedBody | None = None) -> ListPage:
    """One page of listings, in one query; with a body in two, and the size of each pattern for it."""
    start = (number - 1) * PER_PAGE
    shown = found.annotate(is_had=_is_had())
    rows = list(shown.values_list(*_COLUMNS)[start : start + PER_PAGE + 1])
    listed = [_listed(*row) for row in rows[:PER_PAGE]]
    if body and body.mark and listed:
        fits = ListingMark.objects.filter(**_begins(f"fits {body.girth} "))
        marks: dict[str, list[str]] = {one.slug: [] for one in listed}
        for slug, mark in fits.filter(listing__slug__in=marks).values_list("listing__slug", "mark"):
            marks[slug].append(mark)
        listed = [replace(one, own_size=size_of_marks(marks[one.slug], body)) for one in listed]
    return ListPage(listed, number, len(rows) > PER_PAGE)


def _is_had() -> Case:
    """Whether a listed pattern can be had by anybody; asked of the rows of a page alone."""
    held = Holder.pdf_versions.through.objects.filter(holder__pattern=OuterRef("pattern"))
    in_shops = ShopLink.objects.filter(pattern=OuterRef("pattern"))
    return Case(
        When(Q(pattern__is_free=True) | Exists(in_shops) | Exists(held), then=Value(True)),
        default=Value(False),
        output_field=BooleanField(),
    )


def mark_anew() -> int:
    """Mark the listings of releases from before as they are marked now; say how many."""
    old = Listing.objects.exclude(pk__in=ListingMark.objects.filter(mark=MARKED_AS).values("listing"))
    patterns = [listing.pattern for listing in old.select_related("pattern")]
    for pattern in patterns:
        list_pattern(pattern)
    return len(patterns)


def _has_any(start: str) -> bool:
    """Whether a listing carries a mark that begins so."""
    return ListingMark.objects.filter(**_begins(start)).exists()


def _listed(slug: str, title: str, summary: str, *facts: Any) -> Listed:
    """A row of the list as it is printed."""
    craft, first, last, weights, *photo = facts
    sizes = first if first == last else f"{first} to {last}"
    yarn = f"; yarn: {weights}" if weights else ""
    return Listed(slug, title, summary, f"{craft.capitalize()}; sizes {sizes}{yarn}", *photo)


def _begins(start: str) -> dict[str, str]:
    """What finds the marks that begin so by an index: PostgreSQL orders by language, SQLite by characters."""
    if connection.vendor == "postgresql":
        return {"mark__startswith": start}
    return {"mark__gte": start, "mark__lt": start[:-1] + chr(ord(start[-1]) + 1)}


def _carries(*, mark: str) -> Exists:
    """Whether a listing carries a mark: many do, so the list is walked in order until a page is full."""
    return Exists(ListingMark.objects.filter(listing=OuterRef("pk"), mark=mark))


def _shown(pattern: Pattern, current: Version, record: Record, core: PatternFile) -> dict[str, object]:
    """What the list shows."""
    return {
        "pattern": pattern,
        "version": current,
        "slug": pattern.slug,
        "number": current.number,
        "title": core.title,
        "order": f"{core.title.casefold()[:200]} {pattern.slug}"[:220],
        "summary": record["pattern"].get("summary", ""),
        "craft": core.craft,
        "first_size": core.sizes[0],
        "last_size": core.sizes[-1],
        "weights": _weight_words(core),
        **_first_photo(record),
    }


def _first_photo(record: Record) -> dict[str, object]:
    """The photo that the list shows, as the release was frozen with it."""
    for photo in photos_of(record)[:1]:
        size = {"photo_width_px": photo.width_px, "photo_height_px": photo.height_px}
        return {"photo_url": photo.smallest_url, **size}
    return {}


def _marks(record: Record, core: PatternFile) -> Iterator[str]:
    """What a pattern is found by."""
    summary = record["pattern"].get("summary", "")
    text = " ".join([core.title, summary, *(yarn.label for yarn in core.yarns)])
    yield MARKED_AS
    yield f"craft {core.craft}"
    yield f"wearer {core.wearer or 'adult'}"
    if garment := garment_named(core.title, summary):
        yield f"garment {garment}"
    if core.skill:
        yield f"level {core.skill}"
    yield from _cut("size", core.sizes)
    yield from _cut("weight", _weights(core))
    yield from _cut("word", terms_of(text))
    yield from body_marks(core)


def _selling_marks(pattern: Pattern) -> Iterator[str]:
    """What the seller says that it is found by; this may change without a new release."""
    facts = SellingFacts.objects.filter(pattern=pattern).first() or SellingFacts()
    yield from _cut("season", facts.seasons)
    for kind, part in OWN_WORDS.items():
        yield from (own_mark(kind, word) for word in getattr(facts, part))
    yield from _cut("word", terms_of(" ".join([*facts.techniques, *facts.tags])))


def _cut(kind: str, labels: Iterable[str]) -> Iterator[str]:
    """Marks of one kind, no longer than they are stored."""
    for label in labels:
        yield f"{kind} {label}"[:LONGEST_MARK]


def _weights(core: PatternFile) -> list[str]:
    """The weight categories that a maker may look for: told by the pattern, or as fine as its yarns."""
    lengths = [yarn.length_per_100g_m for yarn in core.yarns if yarn.length_per_100g_m]
    fitting = {weight.name for length in lengths for weight in weights_of_length(length)}
    fitting |= {weight.name for yarn in core.yarns for weight in fitting_weights(yarn)}
    return [weight.name for weight in YARN_WEIGHTS if weight.name in fitting]


def _weight_words(core: PatternFile) -> str:
    """The weights as the pattern prints them; then what yarns as fine as its own are sold as, too."""
    own = ", ".join(dict.fromkeys(weight_words(core.yarns)))
    named = {weight.name for yarn in core.yarns for weight in fitting_weights(yarn)}
    others = [name for name in _weights(core) if name not in named]
    return f"{own} ({' or '.join(others)} too, if it gives the same gauge)" if own and others else own


def choice_order(mark: str) -> tuple[str, int, int, str]:
    """The order in which a filter offers its choices: fine to thick, small to large, else by letter."""
    kind, _, label = mark.partition(" ")
    names = _ORDERS.get(kind, [])
    first = re.match(r"\d+", label)
    return kind, names.index(label) if label in names else len(names), int(first[0]) if first else 0, label


_SIZE_ORDER = ["3XS", "XXS", "2XS", "XS", "S", "M", "L", "XL", "1X", "XXL", "2XL", "2X", "XXXL", "3XL", "3X"]
_SIZE_ORDER += [f"{number}{letters}" for number in range(4, 10) for letters in ("XL", "X")]
_ORDERS = {
    "body": list(GIRTHS),
    "weight": [weight.name for weight in YARN_WEIGHTS],
    "size": _SIZE_ORDER,
    "wearer": ["adult", "child", "baby"],
    "level": schema()["properties"]["skill"]["enum"],
    "season": list(SEASONS),
}
