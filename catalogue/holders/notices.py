"""Notices: what holders of older versions are told when a version that corrects something is published."""

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from datetime import timedelta

from django.db import transaction
from django.db.models import Count, Exists, Max, OuterRef, Q, QuerySet
from django.utils import timezone

from catalogue.holders.holders import set_right
from catalogue.holders.notice_letters import UNKNOWN, NoticeLetter, compose_letter
from catalogue.materials.ended_yarns import ended_notes
from catalogue.materials.published_yarns import yarn_names
from catalogue.models import Erratum, Holder, Notice, NoticeMail, Version
from catalogue.versions.glances import Seen, check_glance, paragraphs
from catalogue.versions.moved_steps import Followed, follow, without_told
from catalogue.versions.records import Record, read_record
from catalogue.versions.spots import ApplyingErratum, Presence, compare_spot, reading_order, spot_words
from catalogue.versions.standings import standings

STALLED_AFTER = timedelta(minutes=3)


@transaction.atomic
def draft_notice(version: Version) -> Notice | None:
    """Draft the notice of a release that corrects what no notice has told; None where there is nothing."""
    if version.kind != "release" or not untold_errata(version):
        return None
    if taken_over := Notice.objects.select_for_update().filter(state="draft", also=version).first():
        return taken_over
    # Locked, so that a draft which is being sent meanwhile is not taken for one that still takes corrections.
    return Notice.objects.select_for_update().get_or_create(version=version, state="draft")[0]


def draft_notice_of(erratum: Erratum) -> Notice | None:
    """Draft the notice of the first release that carries the correction; None before there is one."""
    corrected_in = erratum.corrected_in
    releases = _published(erratum.pattern_id).filter(kind="release")
    later = (one for one in releases if corrected_in and one.order >= corrected_in.order)
    release = next(later, None)
    return draft_notice(release) if release else None


def errata_to_tell(notice: Notice) -> list[Erratum]:
    """What a draft tells of: what its release corrects, and those whose drafts were put into it."""
    return _untold(_versions_of(notice, list(_published(notice.version.pattern_id))))


def _versions_of(notice: Notice, published: list[Version]) -> list[Version]:
    """The versions whose corrections a notice tells of; `published` has the oldest first."""
    releases = [*notice.also.all(), notice.version]
    return [one for release in releases for one in versions_told_by(release, published)]


def untold_errata(version: Version) -> list[Erratum]:
    """What a release corrects, also by test versions since the release before, that no notice has told."""
    return _untold(versions_told_by(version, _published(version.pattern_id)))


def _untold(since: list[Version]) -> list[Erratum]:
    known = Erratum.objects.filter(corrected_in__in=since, notices=None)
    known = known.select_related("found_in", "corrected_in").defer("corrected_in__record")
    return sorted(known, key=reading_order)


def versions_told_by(version: Version, published: Iterable[Version]) -> list[Version]:
    """A release with the test versions since the release before it; `published` has the oldest first."""
    since: list[Version] = []
    for one in published:
        if one.order <= version.order:
            since = [one] if since and since[-1].kind == "release" else [*since, one]
    return since


def notices_about(erratum: Erratum) -> list[Notice]:
    """The notice that tells of a correction, or the draft that will."""
    if told := list(erratum.notices.select_related("version")):
        return told
    drafts = Notice.objects.filter(version__pattern=erratum.pattern_id, state="draft")
    published = list(_published(erratum.pattern_id))
    return [
        one
        for one in drafts.select_related("version").prefetch_related("also")
        if erratum.corrected_in_id in {version.pk for version in _versions_of(one, published)}
    ]


def letters_of(notice: Notice, words: str | None = None, *, everybody: bool = False) -> list[NoticeLetter]:
    """One letter for each older version that has something corrected: that somebody holds, or of all."""
    counts = _holder_counts(notice.version)
    published = list(_published(notice.version.pattern_id))
    held = {one.pk: one for one in published if one.order < notice.version.order}
    corrected, before = errata_to_tell(notice), _told_errata(notice)
    earlier, waiting = _corrected_before(notice, corrected), _uncorrected(notice.version)
    found = _found_records([*corrected, *before, *earlier, *waiting], published)
    kept = [(pk, one) for pk, one in held.items() if everybody or pk in counts]
    groups = [(one.number, one, counts.get(pk, 0)) for pk, one in kept]
    unknown = [(UNKNOWN, None, counts.get(None, 0))] if everybody or None in counts else []
    ended = ended_notes(yarn_names(read_record(notice.version.record)), "both")
    letters, newest = [], _newest_that_corrects(notice.version, corrected)
    for number, one, holders in [*groups, *unknown]:
        text = one.record if one else ""
        record = read_record(text) if text else None
        applying = _applying(_after(corrected, one), record, found)
        if applying:
            since = _applying(_after(earlier, one), record, found) if one else []
            told = _applying(_after(before, one), record, found)
            followed = _followed(notice.version, [*applying, *since], text, told)
            new, old = followed.errata[: len(applying)], followed.errata[len(applying) :]
            shown = {
                "followed": replace(followed, errata=new),
                "earlier": old,
                "waiting": _applying(waiting, record, found) if one else [],
                "unlisted": followed.unlisted,
                "ended_yarns": ended,
            }
            letter = compose_letter(notice, newest, number, words, shown)
            listed = tuple(moving.applying.erratum.pk for moving in old)
            letters.append(replace(letter, holders=holders, listed=listed))
    return letters


def _followed(
    version: Version, applying: list[ApplyingErratum], held: str, told: list[ApplyingErratum]
) -> Followed:
    """What a holder reads anew; who knows no version reads it as the newest had it that was found wrong.

    What an earlier notice of the same version has told of is not told again.
    """
    known = [one.erratum.found_in for one in applying if one.erratum.found_in]
    newest = max(known, key=lambda one: one.order, default=version)
    followed = follow([*applying, *told], held or newest.record, version.record, "both")
    return without_told(followed, len(applying))


def _corrected_before(notice: Notice, corrected: list[Erratum]) -> list[Erratum]:
    """What was corrected before this version, without what this notice or another of this version tells.

    Who still has an older version reads all its steps anew, and what each of them is about.
    """
    version, now = notice.version, [one.pk for one in corrected]
    known = Erratum.objects.filter(pattern_id=version.pattern_id, state="corrected")
    known = known.exclude(pk__in=now).exclude(notices__version=version)
    known = known.select_related("found_in", "corrected_in").defer("found_in__record", "corrected_in__record")
    earlier = [one for one in known if one.corrected_in and one.corrected_in.order < version.order]
    return sorted(earlier, key=reading_order)


def _found_records(errata: Iterable[Erratum], published: list[Version]) -> dict[int, Record]:
    """The records in which errata were found wrong, by the key of their version."""
    texts = {one.pk: one.record for one in published}
    wanted = {one.found_in_id for one in errata if one.found_in_id}
    if unread := wanted - texts.keys():
        texts |= dict(Version.objects.filter(pk__in=unread).values_list("pk", "record"))
    return {pk: read_record(texts[pk]) for pk in wanted}


def _after(errata: list[Erratum], held: Version | None) -> list[Erratum]:
    """Those that a version newer than the one held has corrected; all where it is unknown."""
    if held is None:
        return errata
    return [one for one in errata if one.corrected_in and one.corrected_in.order > held.order]


def _uncorrected(version: Version) -> list[Erratum]:
    """The mistakes of a pattern that are confirmed and that no version corrects yet."""
    known = Erratum.objects.filter(pattern=version.pattern_id, state="confirmed", corrected_in=None)
    return sorted(known.select_related("found_in").defer("found_in__record"), key=reading_order)


def _told_errata(notice: Notice) -> list[Erratum]:
    """What an earlier notice of this version has told of, or is telling."""
    earlier = notice.version.notices.filter(state__in=("sending", "stopped", "sent")).exclude(pk=notice.pk)
    told = Erratum.objects.filter(state="corrected", notices__in=earlier)
    return list(told.select_related("found_in", "corrected_in").defer("corrected_in__record").distinct())


def releases_of(notice: Notice) -> list[str]:
    """The numbers of the releases whose corrections a notice tells of, the oldest first."""
    releases = {one.order: one.number for one in (*notice.also.all(), notice.version)}
    return [releases[order] for order in sorted(releases)]


def notice_glance(notice: Notice, plain: Iterable[NoticeLetter] | None = None) -> Seen:
    """What a page shows of a draft: the letters to holders, `plain`: without the studio's own words."""
    plain = letters_of(notice, words="") if plain is None else plain
    return {f"To holders of {letter.number}": paragraphs(letter.shown_text) for letter in plain}


@transaction.atomic
def end_notice(*, notice: Notice) -> None:
    """End a notice that stopped; who has had no letter counts as not told and can be told later."""
    stopped = Notice.objects.filter(pk=notice.pk, state="stopped")
    if stopped.update(state="sent", says="", finished_at=timezone.now()):
        notice.mails.filter(state="waiting").delete()


def hold_notices() -> None:
    """Hold what was being sent when a backup was made: letters that went since would go twice."""
    Notice.objects.filter(state="sending").update(
        state="stopped",
        says="The studio was restored from a backup that was made while this was being sent. Whoever got it "
        "after that would get it twice. Go on only if you accept that.",
    )


@transaction.atomic
def set_right_all(*, notice: Notice) -> int:
    """Set right every holder whose letter of this notice was refused; return how many addresses."""
    refused = Holder.objects.filter(mails__notice=notice, mails__state="refused")
    return set_right(holders=refused)


@transaction.atomic
def drop_notice(*, notice: Notice, seen: str | None = None) -> None:
    """Decide that nobody is told of what the letters say.

    Raises:
        Moved: The letters are not as they were seen.
    """
    if undecided(notice).update(state="dropped", finished_at=timezone.now()):
        check_glance(seen, notice_glance(notice))
        notice.errata.set(errata_to_tell(notice))


def notice_progress(notice: Notice) -> dict[str, int]:
    """How many letters there are, and what became of them."""
    counted = notice.mails.values_list("state").annotate(number=Count("pk"))
    counts = Counter(dict(counted))
    done = sum(number for state, number in counts.items() if state != "waiting")
    return {
        "all": sum(counts.values()),
        "done": done,
        **{state: counts[state] for state, _ in NoticeMail.STATES},
    }


def is_stalled(notice: Notice) -> bool:
    """Whether nothing of a notice that is being sent has moved for a while."""
    if notice.state != "sending":
        return False
    moved = notice.mails.aggregate(taken=Max("taken_at"), settled=Max("settled_at"))
    last = max((one for one in (notice.started_at, *moved.values()) if one), default=None)
    return last is None or last < timezone.now() - STALLED_AFTER


def refused_letters(notice: Notice) -> QuerySet[NoticeMail]:
    """The letters that were not taken; those first whose holders were marked for it."""
    return notice.mails.filter(state="refused").select_related("holder").order_by("holder__state", "pk")


def address_everybody(notice: Notice) -> None:
    """Put every holder whom a letter is for into the notice's list; safe to repeat."""
    pks = list(untold_holders(notice).values_list("pk", flat=True))
    mails = [NoticeMail(notice=notice, holder_id=pk) for pk in pks]
    NoticeMail.objects.bulk_create(mails, batch_size=500, ignore_conflicts=True)
    Notice.objects.filter(pk=notice.pk).update(is_addressed=True)


def untold_holders(notice: Notice) -> QuerySet[Holder]:
    """Who wants notices, holds a version that a letter is about, and stands not in the notice's list yet."""
    held = {one.number: pk for pk, one in _older_versions(notice.version).items()}
    concerned = Q(version__in=[held[number] for number in notice.letters if number != UNKNOWN])
    if UNKNOWN in notice.letters:
        concerned |= Q(version=None)
    listed = NoticeMail.objects.filter(notice=notice, holder=OuterRef("pk"))
    wanting = Holder.objects.filter(pattern_id=notice.version.pattern_id, state="wants")
    return wanting.filter(concerned, ~Exists(listed))


def recipients(notice: Notice, numbers: Iterable[str]) -> dict[str, list[Holder]]:
    """Who gets the letter to holders of each of these versions, by its number, by address."""
    held = {one.number: pk for pk, one in _older_versions(notice.version).items()}
    wanted = {held.get(number): number for number in numbers}
    found: dict[str, list[Holder]] = {number: [] for number in wanted.values()}
    for holder in Holder.objects.filter(pattern_id=notice.version.pattern_id, state="wants").order_by(
        "email"
    ):
        if holder.version_id in wanted:
            found[wanted[holder.version_id]].append(holder)
    return found


def undecided(notice: Notice) -> QuerySet[Notice]:
    """The notice while nobody has decided on it."""
    return Notice.objects.filter(pk=notice.pk, state="draft")


def _holder_counts(version: Version) -> dict[int | None, int]:
    """How many want notices of this pattern, by the version they hold."""
    wanting = Holder.objects.filter(pattern_id=version.pattern_id, state="wants")
    return dict(wanting.values_list("version").annotate(number=Count("pk")).order_by())


def _older_versions(version: Version) -> dict[int, Version]:
    """The published versions before this one."""
    return {one.pk: one for one in _published(version.pattern_id) if one.order < version.order}


def _published(pattern: int) -> QuerySet[Version]:
    """The published versions of a pattern, the oldest first."""
    return Version.objects.filter(pattern_id=pattern, state="published").order_by("major", "minor")


def _applying(
    corrected: list[Erratum], record: Record | None, found: dict[int, Record]
) -> list[ApplyingErratum]:
    """What of the corrected mistakes stands, or may stand, in a held version."""
    applying = []
    for erratum in corrected:
        wrong = found.get(erratum.found_in_id or 0)
        standing: Presence = compare_spot(erratum, wrong, record) if wrong and record else "can't tell"
        if standing != "not in it":
            shown = wrong or record
            place = spot_words(erratum.place, shown) if shown else erratum.place
            applying.append(ApplyingErratum(erratum, place, standing))
    return applying


def _newest_that_corrects(version: Version, corrected: list[Erratum]) -> Version:
    """The newest release that is free of what a version corrects, at least that version itself."""
    later = _published(version.pattern_id).filter(kind="release").order_by("-major", "-minor")
    for one in later.defer("record"):
        if one.order <= version.order:
            break
        if "in it" not in standings([(erratum, one) for erratum in corrected]):
            return one
    return version
