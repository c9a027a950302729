"""Notices: what holders of older versions are told when a version that corrects something is published."""

from collections import Counter
from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.db import transaction
from django.db.models import Count
from django.urls import reverse
from django.utils import timezone

from catalogue.errata import Applying, Standing
from catalogue.mailing import compose_mail
from catalogue.models import Erratum, Holder, Notice, NoticeMail, Person, Version
from catalogue.places import compare_place, place_words
from catalogue.records import Record, read_record

UNKNOWN = "unknown"
# Stands in a composed letter where each holder's own address comes.
LEAVE_MARK = "https://leave.invalid/"


@dataclass(frozen=True)
class Letter:
    """What the holders of one version are told, and how many they are."""

    number: str
    subject: str
    text: str
    html: str
    holders: int = 0


def draft_notice(version: Version) -> Notice | None:
    """Draft the notice of a release that corrects something; None where it corrects nothing."""
    corrects = Erratum.objects.filter(corrected_in=version).exists()
    if version.kind != "release" or not corrects:
        return None
    return Notice.objects.get_or_create(version=version)[0]


def letters_of(notice: Notice, words: str | None = None) -> list[Letter]:
    """One letter for each older version that somebody holds and that has something corrected."""
    counts = _holder_counts(notice.version)
    held = _older_versions(notice.version)
    corrected = list(notice.version.errata_corrected.select_related("found_in"))
    found = {one.found_in.pk: read_record(one.found_in.record) for one in corrected if one.found_in}
    groups = [(one.number, read_record(one.record), counts[pk]) for pk, one in held.items() if pk in counts]
    unknown = [(UNKNOWN, None, counts[None])] if None in counts else []
    letters = []
    for number, record, holders in [*groups, *unknown]:
        applying = _applying(corrected, record, found)
        if applying:
            letters.append(_letter(notice, number, applying, holders, words))
    return letters


def start_notice(*, notice: Notice, words: str, by: Person | None) -> bool:
    """Freeze the letters of a draft and have them sent; False when somebody else was first."""
    from catalogue.notice_sending import send_batch

    letters = {one.number: [one.subject, one.text, one.html] for one in letters_of(notice, words)}
    with transaction.atomic():
        mine = Notice.objects.filter(pk=notice.pk, state="draft").update(
            state="sending", words=words, letters=letters, by=by, started_at=timezone.now()
        )
        if mine:
            send_batch.enqueue(notice=notice.pk)
    return bool(mine)


def resume_notice(*, notice: Notice) -> None:
    """Go on with a notice that stands still; what was sent is never sent again."""
    from catalogue.notice_sending import send_batch

    if Notice.objects.filter(pk=notice.pk, state="sending").exists():
        send_batch.enqueue(notice=notice.pk)


def drop_notice(*, notice: Notice) -> None:
    """Decide that nobody is told."""
    Notice.objects.filter(pk=notice.pk, state="draft").update(state="dropped", finished_at=timezone.now())


def progress_of(notice: Notice) -> dict[str, int]:
    """How many letters there are, and what became of them."""
    counted = notice.mails.values_list("state").annotate(number=Count("pk"))
    counts = Counter(dict(counted))
    done = sum(number for state, number in counts.items() if state != "waiting")
    return {
        "all": sum(counts.values()),
        "done": done,
        **{state: counts[state] for state, _ in NoticeMail.STATES},
    }


def address_everybody(notice: Notice) -> None:
    """Put every holder whom a letter is for into the notice's list; safe to repeat."""
    held = {one.number: pk for pk, one in _older_versions(notice.version).items()}
    for number in notice.letters:
        wanting = Holder.objects.filter(pattern_id=notice.version.pattern_id, state="wants")
        unknown = number == UNKNOWN
        holders = wanting.filter(version=None) if unknown else wanting.filter(version_id=held[number])
        pks = list(holders.values_list("pk", flat=True))
        mails = [NoticeMail(notice=notice, holder_id=pk) for pk in pks]
        NoticeMail.objects.bulk_create(mails, batch_size=500, ignore_conflicts=True)
    Notice.objects.filter(pk=notice.pk).update(is_addressed=True)


def _holder_counts(version: Version) -> dict[int | None, int]:
    """How many want notices of this pattern, by the version they hold."""
    wanting = Holder.objects.filter(pattern_id=version.pattern_id, state="wants")
    return dict(wanting.values_list("version").annotate(number=Count("pk")).order_by())


def _older_versions(version: Version) -> dict[int, Version]:
    """The published versions before this one."""
    known = Version.objects.filter(pattern_id=version.pattern_id, state="published")
    ordered = known.order_by("major", "minor")
    return {one.pk: one for one in ordered if (one.major, one.minor) < (version.major, version.minor)}


def _applying(corrected: list[Erratum], record: Record | None, found: dict[int, Record]) -> list[Applying]:
    """What of the corrected mistakes stands, or may stand, in a held version."""
    applying = []
    for erratum in corrected:
        wrong = found.get(erratum.found_in_id or 0)
        standing: Standing = compare_place(erratum, wrong, record) if wrong and record else "can't tell"
        if standing != "not in it":
            shown = wrong or record
            place = place_words(erratum.place, shown) if shown else erratum.place
            applying.append(Applying(erratum, place, standing))
    return applying


def _letter(notice: Notice, number: str, applying: list[Applying], holders: int, words: str | None) -> Letter:
    """The letter to holders of one version."""
    version = notice.version
    slug, title = version.pattern.slug, version.pattern.title
    page = reverse("corrections", args=[slug, number]) if number != UNKNOWN else reverse("which", args=[slug])
    context: dict[str, Any] = {
        "title": title,
        "number": "" if number == UNKNOWN else number,
        "new_number": version.number,
        "words": notice.words if words is None else words,
        "applying": applying,
        "url": f"{settings.STUDIO_URL}{page}",
        "leave_url": LEAVE_MARK,
    }
    subject, text, html = compose_mail("notice", context)
    return Letter(number, subject, text, html, holders)
