"""Publishing: a pattern is frozen as a waiting version, its editions are made, then it is published.

Every step is one transaction and safe to repeat: a kill at any moment leaves no version, or one that waits
and is taken up again, and files that no edition has are swept.
"""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, timedelta

from django.db import IntegrityError, transaction
from django.utils import timezone
from django_tasks import task

from catalogue.drafts.edits import hold_draft
from catalogue.editions.choices import check_choices, home_choices, unique
from catalogue.editions.ingredients import EditionFailed, RenderedPdf
from catalogue.editions.rendering import render_editions
from catalogue.editions.stored_files import keep_pdf, sweep_files
from catalogue.errata.errata import ErratumRefused, correct_erratum, erratum_spot, why_not_corrected
from catalogue.helps.helps import freeze_helps
from catalogue.models import Edition, Erratum, Pattern, Person, Version
from catalogue.models.edition_choices import Choices, choices_code
from catalogue.photos.photos import freeze_photos
from catalogue.public.published import prepare_pages
from catalogue.publishing.announcements import announce_version
from catalogue.publishing.obstacles import PublishingStop, check_before_publishing
from catalogue.studio.chores import do_each
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.task_queue import failed_calls, waiting_calls
from catalogue.versions.draft_glances import beside_version, check_draft_glance
from catalogue.versions.freezing import Heading, Kind, draft_record
from catalogue.versions.held_errata import hold_errata
from catalogue.versions.records import Record, canonical, digest_of, read_record
from catalogue.versions.versions import NumberTaken, check_number, taken_sentence

TAKEN_UP_AFTER = timedelta(minutes=1)


@dataclass(frozen=True)
class Publication:
    """What shall be published, as a person decided it.

    `corrects` are the errata that it corrects, `editions` those made beside the one in home units, `seen` the
    glance of the draft that the decision rests on; without one nothing was looked at. `at` is the moment that
    it bears, now where none is given.
    """

    pattern: Pattern
    kind: Kind
    number: str
    note: str
    by: Person | None
    corrects: Sequence[Erratum] = ()
    editions: Sequence[Choices] = ()
    seen: str | None = None
    at: datetime | None = None


def publish_version(wanted: Publication) -> Version:
    """Freeze a pattern, make its editions here and now, and publish; or leave nothing.

    Raises:
        NumberTaken: The number is no number, not above the last one, or somebody else's.
        DraftMoved: The pattern is not as it was seen.
        PublishingStop: Something stands in the way.
        ErratumRefused: It does not correct what it is said to correct.
        EditionFailed: An edition could not be made.
    """
    version = freeze_version(wanted)
    make_editions(version)
    if version.state != "published":
        says = next(iter(version.editions.exclude(says="").values_list("says", flat=True)), "")
        withdraw_version(version=version)
        raise EditionFailed(says or "The version was taken back, or another process makes its editions.")
    return version


def start_publication(wanted: Publication) -> Version:
    """Freeze a pattern and queue the making of its editions, both or neither."""
    with transaction.atomic():
        version = freeze_version(wanted)
        make_editions_of.enqueue(version=version.pk)
    version.refresh_from_db()
    return version


@transaction.atomic
def freeze_version(wanted: Publication) -> Version:
    """Freeze a pattern as it stands under a number, waiting for its editions; nobody can edit meanwhile.

    What the caller read of the pattern and its errata may be old: both are read again under their locks.
    """
    pattern = wanted.pattern
    hold_draft(pattern)
    corrects = hold_errata(wanted.corrects)
    check_number(pattern, wanted.number)
    at = (wanted.at or timezone.now()).replace(microsecond=0)
    heading = Heading(wanted.number, wanted.kind, wanted.note, at)
    record = draft_record(pattern, heading, corrects)
    check_draft_glance(pattern, record, beside_version(record, corrects), wanted.seen)
    stops = [one for one in check_before_publishing(pattern, wanted.kind, record) if one.weight == "stop"]
    if stops:
        raise PublishingStop(stops)
    version = _store_waiting(pattern, heading, record, wanted.by)
    for erratum in corrects:
        frozen = read_record(version.record)
        if says := why_not_corrected(erratum, version, frozen):
            raise ErratumRefused(says, erratum_spot(erratum, frozen)[0])
    version.corrects = [one.pk for one in corrects]
    version.save(update_fields=("corrects",))
    plan_editions(version=version, editions=[home_choices(record), *wanted.editions])
    return version


def plan_editions(*, version: Version, editions: Sequence[Choices]) -> None:
    """Note editions of a version that are to be made; those that failed are tried again."""
    record = read_record(version.record)
    for choices in unique(editions):
        check_choices(record, choices)
        edition, _ = Edition.objects.get_or_create(
            version=version, code=choices_code(choices), defaults={"choices": choices}
        )
        Edition.objects.filter(pk=edition.pk, state="failed").update(state="waiting", says="")


@transaction.atomic
def request_edition(*, version: Version, choices: Choices) -> None:
    """Have one more edition of a version made: the same record, so the same numbers and words."""
    plan_editions(version=version, editions=[choices])
    make_editions_of.enqueue(version=version.pk)


@transaction.atomic
def try_again(*, version: Version) -> None:
    """Have everything that failed made once more."""
    version.editions.filter(state="failed").update(state="waiting", says="")
    Version.objects.filter(pk=version.pk, state="failed").update(state="waiting")
    make_editions_of.enqueue(version=version.pk)


@transaction.atomic
def withdraw_version(*, version: Version) -> None:
    """Take back a version that was never published; its number is free again."""
    # Locked, so that it is not published while its editions go.
    waiting = Version.objects.select_for_update().filter(pk=version.pk).exclude(state="published").first()
    if waiting is not None:
        Edition.objects.filter(version=waiting).delete()
        waiting.delete()


@task()
def make_editions_of(*, version: int) -> None:
    """Make what waits of a version and publish it; safe to run twice."""
    found = Version.objects.filter(pk=version).first()
    if found is not None:
        make_editions(found)
        prepare_pages(found)


def make_editions(version: Version) -> None:
    """Make every edition of a version that waits; publish the version once none is missing."""
    with suppress(OSError):  # a storage that can't be listed is told of when a file is to be kept
        sweep_files()
    asked = list(version.editions.filter(state="waiting"))
    try:
        for rendered in render_editions(record=version.record, wanted=[one.choices for one in asked]):
            _keep(asked[rendered.place], rendered.pdf, rendered.says)
    except (EditionFailed, FilesOutOfReach) as problem:
        version.editions.filter(state="waiting").update(state="failed", says=str(problem))
    _finish(version)


def take_up_publications() -> int:
    """Take up versions that wait with no task of theirs in the queue; return how many."""
    queued = {call["version"] for call in waiting_calls(make_editions_of)}
    before = timezone.now() - TAKEN_UP_AFTER
    waiting = Version.objects.filter(editions__state="waiting", frozen_at__lt=before).distinct()
    left = [version for version in waiting if version.pk not in queued]
    return do_each(left, _take_up)


def _take_up(version: Version) -> int:
    """Queue the making of a version's editions, or mark it when the queue gave up on it."""
    if any(call["version"] == version.pk for call in failed_calls(make_editions_of)):
        says = (
            "The program that makes PDFs stopped every time at this one: try again, or take the version back."
        )
        version.editions.filter(state="waiting").update(state="failed", says=says)
        _finish(version)
    else:
        make_editions_of.enqueue(version=version.pk)
    return 1


def _keep(edition: Edition, pdf: RenderedPdf | None, says: str) -> None:
    """Store the file of an edition, then its row; a file that can't be stored fails the edition."""
    try:
        name = keep_pdf(pdf.content, pdf.sha256) if pdf else ""
    except OSError as problem:
        pdf, says = None, f"The file could not be stored: {problem.strerror or problem}."
    rows = Edition.objects.filter(pk=edition.pk, state="waiting")
    if pdf is None:
        rows.update(state="failed", says=says)
        return
    rows.update(
        state="made",
        says="",
        key=pdf.key,
        file=name,
        sha256=pdf.sha256,
        size_bytes=len(pdf.content),
        pages=pdf.pages,
        libraries=pdf.libraries,
    )


@transaction.atomic
def _finish(version: Version) -> None:
    """Publish a version that has all its editions; mark it when one failed; all in one transaction."""
    if not Version.objects.select_for_update().filter(pk=version.pk).exists():
        return  # taken back while its editions were made
    states = set(version.editions.values_list("state", flat=True))
    unpublished = Version.objects.filter(pk=version.pk).exclude(state="published")
    if "failed" in states:
        unpublished.update(state="failed")
    elif states == {"made"} and unpublished.update(state="published", published_at=timezone.now()):
        _correct_errata(version)
        announce_version(version)
    version.refresh_from_db()


def _correct_errata(version: Version) -> None:
    """Mark what the version corrects; an erratum that was judged otherwise meanwhile stays as it is."""
    for erratum in Erratum.objects.filter(pk__in=version.corrects):
        try:
            correct_erratum(erratum=erratum, version=version)
        except ErratumRefused:
            continue


def _store_waiting(pattern: Pattern, heading: Heading, record: Record, by: Person | None) -> Version:
    """Store a version under its number, or say who has it."""
    text = canonical(record)
    major, minor = (int(part) for part in heading.number.split("."))
    try:
        with transaction.atomic():
            version = Version.objects.create(
                pattern=pattern,
                major=major,
                minor=minor,
                kind=heading.kind,
                state="waiting",
                record=text,
                sha256=digest_of(text),
                note=heading.note,
                by=by,
                frozen_at=heading.at,
            )
            freeze_photos(version=version, record=record)
            freeze_helps(version=version, record=record)
            return version
    except IntegrityError:
        raise NumberTaken(taken_sentence(pattern, heading.number)) from None
