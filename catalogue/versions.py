"""Versions: numbering, the one path by which they are published, and who may see which."""

import re
from collections.abc import Iterable, Sequence
from datetime import timedelta

from django.contrib.auth.models import AnonymousUser
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.db.models import Q, QuerySet
from django.utils import timezone

from catalogue.editions import RenderedPdf, home_choices, render_pdf
from catalogue.errata import correct_erratum
from catalogue.freezing import Heading, Kind, draft_record, record_pattern
from catalogue.models import Edition, Erratum, Pattern, Person, Version
from catalogue.preflight import Obstacle, PreflightStop, check_before_publishing
from catalogue.records import canonical, digest_of, read_record, read_time
from catalogue.roles import is_studio
from grading.core.grade import Graded, grade
from grading.core.pattern import Pattern as CorePattern

_NUMBER = re.compile(r"(0|[1-9][0-9]{0,3})\.(0|[1-9][0-9]{0,3})")
FOLDER = "editions"
LEFTOVER_AFTER = timedelta(days=1)


class NumberTaken(ValueError):
    """A number that can't be given; its text is one sentence with one that can."""


def publish_version(
    *,
    pattern: Pattern,
    kind: Kind,
    number: str,
    note: str,
    by: Person | None,
    corrects: Sequence[Erratum] = (),
) -> Version:
    """Freeze a pattern as it stands, make its editions, and publish both or neither.

    Raises:
        NumberTaken: The number is no number, not above the last one, or somebody else's.
        PreflightStop: Something stands in the way.
        EditionFailed: An edition could not be made.
    """
    _check_number(pattern, number)
    now = timezone.now().replace(microsecond=0)
    draft = draft_record(pattern, Heading(number, kind, note, now), corrects)
    stops = [one for one in check_before_publishing(pattern, kind, draft) if one.weight == "stop"]
    if stops:
        raise PreflightStop(stops)
    version = _unsaved_version(pattern, canonical(draft), kind, by)
    record = read_record(version.record)
    choices = home_choices(record)
    sweep_leftovers()
    return _commit(version, [(choices, render_pdf(record=record, choices=choices))], corrects)


def preflight(pattern: Pattern, kind: Kind) -> list[Obstacle]:
    """What stands in the way of publishing a pattern as it stands now."""
    heading = Heading(suggest_number(pattern, kind), kind, "", timezone.now())
    return check_before_publishing(pattern, kind, draft_record(pattern, heading))


def suggest_number(pattern: Pattern, kind: Kind) -> str:
    """The next number: minor for corrections; 0.x for tests before the first release, which is 1.0."""
    last = pattern.versions.order_by("-major", "-minor").first()
    if last is None:
        return "0.1" if kind == "test" else "1.0"
    if kind == "release" and last.major == 0:
        return "1.0"
    return f"{last.major}.{last.minor + 1}"


def version_pattern(version: Version) -> CorePattern:
    """The pattern as frozen."""
    return record_pattern(read_record(version.record))


def version_graded(version: Version) -> Graded:
    """The numbers of a frozen pattern."""
    return grade(version_pattern(version))


def versions_for(person: Person | AnonymousUser) -> QuerySet[Version]:
    """The versions that a person may know of: all for the studio, releases for everybody else."""
    published = Version.objects.filter(state="published").select_related("pattern")
    return published if is_studio(person) else published.filter(kind="release")


def editions_for(person: Person | AnonymousUser) -> QuerySet[Edition]:
    """The files that a person may have: all for the studio, releases of free patterns for everybody."""
    published = Edition.objects.filter(version__state="published").select_related("version__pattern")
    if is_studio(person):
        return published
    return published.filter(Q(version__kind="release") & Q(version__pattern__is_free=True))


def version_of_number(pattern: Pattern, number: str) -> Version | None:
    """The published version of this number."""
    read = _NUMBER.fullmatch(number)
    if read is None:
        return None
    major, minor = int(read.group(1)), int(read.group(2))
    found = (
        pattern.versions.filter(major=major, minor=minor, state="published").select_related("pattern").first()
    )
    return found if found and found.number == number else None


def current_release(pattern: Pattern) -> Version | None:
    """The newest release of a pattern."""
    released = pattern.versions.filter(kind="release", state="published")
    return released.order_by("-major", "-minor").first()


def sweep_leftovers() -> int:
    """Take away files of publications that never came to their end; return how many."""
    if not default_storage.exists(FOLDER):
        return 0
    known = set(Edition.objects.values_list("file", flat=True))
    before = timezone.now() - LEFTOVER_AFTER
    names = (f"{FOLDER}/{name}" for name in default_storage.listdir(FOLDER)[1])
    leftovers = [
        name for name in names if name not in known and default_storage.get_modified_time(name) < before
    ]
    for name in leftovers:
        default_storage.delete(name)
    return len(leftovers)


def _check_number(pattern: Pattern, number: str) -> None:
    """Refuse what is no number, or not above the last one."""
    read = _NUMBER.fullmatch(number)
    if read is None:
        raise NumberTaken(f"“{number[:20]}” is no version number: write it like 1.0 or 1.1.")
    last = pattern.versions.order_by("-major", "-minor").first()
    if last and (int(read.group(1)), int(read.group(2))) <= (last.major, last.minor):
        raise NumberTaken(_taken(pattern, number, last))


def _taken(pattern: Pattern, number: str, last: Version) -> str:
    """The sentence for a number that is not free."""
    free = f"{last.major}.{last.minor + 1}"
    if pattern.versions.filter(major=int(number.split(".")[0]), minor=int(number.split(".")[1])).exists():
        return f"There is a version {number} of this pattern already: take {free} or a higher number."
    return f"The last version is {last.number}, and {number} comes before it: take {free} or a higher number."


def _unsaved_version(pattern: Pattern, record: str, kind: Kind, by: Person | None) -> Version:
    """A version with its record, not yet stored."""
    content = read_record(record)
    major, minor = (int(part) for part in content["number"].split("."))
    return Version(
        pattern=pattern,
        major=major,
        minor=minor,
        kind=kind,
        state="published",
        record=record,
        sha256=digest_of(record),
        note=content["note"],
        by=by,
        frozen_at=read_time(content["frozen_on"]),
    )


def _commit(
    version: Version, made: Iterable[tuple[dict[str, str], RenderedPdf]], corrects: Sequence[Erratum]
) -> Version:
    """Write the files, then all rows at once; whatever goes wrong takes the files away again."""
    editions: list[Edition] = []
    try:
        editions += [_written_edition(choices, pdf) for choices, pdf in made]
        with transaction.atomic():
            version.published_at = timezone.now()
            version.save()
            for edition in editions:
                edition.version = version
                edition.save()
            for erratum in corrects:
                correct_erratum(erratum=erratum, version=version)
    except BaseException as problem:
        for edition in editions:
            default_storage.delete(str(edition.file.name))
        if isinstance(problem, IntegrityError):
            last = version.pattern.versions.order_by("-major", "-minor").first()
            raise NumberTaken(_taken(version.pattern, version.number, last or version)) from None
        raise
    return version


def _written_edition(choices: dict[str, str], pdf: RenderedPdf) -> Edition:
    """Store the file of an edition under a name of our own; its row comes later."""
    name = default_storage.save(f"{FOLDER}/{pdf.sha256[:32]}.pdf", ContentFile(pdf.content))
    return Edition(
        choices=choices,
        key=pdf.key,
        file=name,
        sha256=pdf.sha256,
        size_bytes=len(pdf.content),
        pages=pdf.pages,
        libraries=pdf.libraries,
    )
