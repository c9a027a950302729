"""What notices are about, in words: the places of the errata that each tells of; and which went out."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.db.models import Count, Q, QuerySet

from catalogue.holders.notices import letters_of, versions_told_by
from catalogue.models import Erratum, Holder, Notice, NoticeMail, Version
from catalogue.versions.standings import found_places

MOST_NAMED = 3


@dataclass(frozen=True)
class NamedNotice:
    """A notice with what it is about, its errata, and the other drafts for holders of the same pattern."""

    notice: Notice
    about: str
    errata: tuple[Erratum, ...]
    others: tuple[str, ...] = ()


@dataclass(frozen=True)
class ListedBefore:
    """A holder by key, the version they hold, and the errata that a letter listed to them."""

    holder: int
    version: int
    state: str
    errata: frozenset[int]


def named_notices(notices: Sequence[Notice]) -> list[NamedNotice]:
    """Name notices by where their errata are, as “Neckband, step 1, in 1.0”; the same few queries for all."""
    errata = _errata_of(notices)
    every = list({one.pk: one for many in errata.values() for one in many}.values())
    places = dict(zip((one.pk for one in every), found_places(every), strict=True))
    drafts: dict[int, list[Notice]] = defaultdict(list)
    for one in notices:
        if one.state == "draft":
            drafts[one.version.pattern_id].append(one)
    named = []
    for notice in notices:
        about = _words(errata[notice.pk], places)
        same = drafts[notice.version.pattern_id] if notice.state == "draft" else []
        others = tuple(one.version.number for one in same if one.pk != notice.pk)
        named.append(NamedNotice(notice, about, tuple(errata[notice.pk]), others))
    return named


def _words(errata: Sequence[Erratum], places: dict[int, str]) -> str:
    """The places of errata, the first few of many."""
    words = [
        f"{places[one.pk]}, in {one.found_in.number}" if one.found_in else places[one.pk]
        for one in errata[:MOST_NAMED]
    ]
    more = len(errata) - MOST_NAMED
    return "; ".join([*words, f"{more} more"] if more > 0 else words)


def _errata_of(notices: Sequence[Notice]) -> dict[int, list[Erratum]]:
    """The errata of each notice by its key: those that it told, or that a draft will tell."""
    of_notices = Erratum.objects.filter(notices__in=notices).select_related("found_in")
    told = {one.pk: one for one in of_notices.defer("found_in__record")}
    found: dict[int, list[Erratum]] = {one.pk: [] for one in notices}
    pairs = Notice.errata.through.objects.filter(notice__in=notices)
    for notice, erratum in pairs.values_list("notice", "erratum"):
        found[notice].append(told[erratum])
    patterns = {one.version.pattern_id for one in notices if one.state == "draft"}
    published = list(
        Version.objects.filter(pattern__in=patterns, state="published")
        .order_by("major", "minor")
        .defer("record")
    )
    untold = list(
        Erratum.objects.filter(corrected_in__in=published, notices=None)
        .select_related("found_in")
        .defer("found_in__record")
    )
    also: dict[int, set[int]] = defaultdict(set)
    taken_over = Notice.also.through.objects.filter(notice__in=notices)
    for notice, release in taken_over.values_list("notice", "version"):
        also[notice].add(release)
    for draft in notices:
        if draft.state == "draft":
            mine = [one for one in published if one.pattern_id == draft.version.pattern_id]
            releases = [one for one in mine if one.pk in also[draft.pk]] + [draft.version]
            since = {one.pk for release in releases for one in versions_told_by(release, mine)}
            found[draft.pk] = [one for one in untold if one.corrected_in_id in since]
    return found


def notices_sent(version: Version) -> QuerySet[Notice]:
    """The notices of a version that go or went to holders, with how many were `handed` over."""
    told = Notice.objects.filter(Q(version=version) | Q(also=version)).exclude(state__in=("draft", "dropped"))
    handed = Count("mails", filter=Q(mails__state="handed"), distinct=True)
    return told.select_related("version").annotate(handed=handed).order_by("pk")


def not_told(notice: Notice) -> str:
    """How many holders of the pattern get no notices, by why: "1 unsubscribed, 1 not confirmed"."""
    counted = Holder.objects.filter(pattern=notice.version.pattern_id).exclude(state="wants")
    words = {**dict(Holder.STATES), "asked": "not confirmed"}
    counts = counted.values_list("state").annotate(number=Count("pk")).order_by("state")
    return ", ".join(f"{count} {words[state]}" for state, count in counts)


def told_before(notice: Notice, errata: Sequence[Erratum]) -> set[int]:
    """Who would get a draft and had all that it tells in another letter, as corrected before: their keys."""
    wanted = {one.pk for one in errata}
    if not wanted:
        return set()
    told = listed_before(notice.version.pattern_id)
    return {one.holder for one in told if one.state == "wants" and wanted <= one.errata}


def left_to_tell(draft: NamedNotice) -> int:
    """How many holders a draft would go to who have not had all that it tells in another letter."""
    holders = sum(one.holders for one in letters_of(draft.notice))
    return max(0, holders - len(told_before(draft.notice, draft.errata)))


def listed_before(pattern: int) -> Iterator[ListedBefore]:
    """Who got letters of a pattern that list errata as corrected before, each by the version they hold."""
    sent = Notice.objects.filter(version__pattern=pattern).exclude(listed={})
    listed = dict(sent.values_list("pk", "listed"))
    if not listed:
        return
    handed = NoticeMail.objects.filter(notice__in=listed, state="handed").exclude(holder__version=None)
    held = "holder__version"
    columns = ("notice", "holder", "holder__state", held, f"{held}__major", f"{held}__minor")
    for notice, holder, state, version, major, minor in handed.values_list(*columns):
        if errata := listed[notice].get(f"{major}.{minor}"):
            yield ListedBefore(holder, version, state, frozenset(errata))
