"""Verifying: whether records, database and files of all versions still agree, each fault named."""

import hashlib
from collections.abc import Iterator, Sequence
from typing import Any, Protocol

from django.core.exceptions import SuspiciousFileOperation
from django.core.files.storage import default_storage

from catalogue.editions.choices import CHOICES, home_choices
from catalogue.editions.ingredients import photo_name
from catalogue.editions.stored_files import leftover_files
from catalogue.models import Edition, HelpPicture, Photo, StitchPicture, Swatch, Version
from catalogue.models.edition_choices import choices_code
from catalogue.photos.pictures import is_picture
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.versions.frozen_helps import record_pictures
from catalogue.versions.records import Record, canonical, digest_of, read_record, written_time

EVERY_CHOICE = dict.fromkeys((*CHOICES, "sizes"), "")


def faults() -> Iterator[str]:
    """Every fault of every version and photo of the studio, one sentence each; none when all is well.

    Raises:
        FilesOutOfReach: The files can't be looked at; that is no fault of theirs.
    """
    for version in Version.objects.select_related("pattern").order_by("pk").iterator(chunk_size=20):
        yield from version_faults(version)
    for photo in Photo.objects.select_related("pattern").order_by("pk").iterator(chunk_size=20):
        yield from (f"{photo.pattern}, a photo of its draft: {says}" for says in picture_faults(photo))
    for swatch in (
        Swatch.objects.exclude(digest="").select_related("pattern").order_by("pk").iterator(chunk_size=20)
    ):
        yield from (f"{swatch.pattern}, a swatch: {says}" for says in picture_faults(swatch))
    for picture in HelpPicture.objects.select_related("help").order_by("pk").iterator(chunk_size=20):
        yield from (f"Help “{picture.help}”, a picture: {says}" for says in picture_faults(picture))
    for stitched in StitchPicture.objects.select_related("state").order_by("pk").iterator(chunk_size=20):
        yield from (
            f"Special stitch “{stitched.state}”, a picture: {says}" for says in picture_faults(stitched)
        )
    for name in leftover_files():
        yield f"{name}: no edition has this file; it is swept with the next publication."


def version_faults(version: Version) -> Iterator[str]:
    """What does not agree in one version."""
    name = f"{version.pattern} {version.number}"
    if digest_of(version.record) != version.sha256:
        yield f"{name}: the record is not the one that was frozen (its hash differs)."
    try:
        yield from (f"{name}: {says}" for says in _record_faults(version, read_record(version.record)))
    except (ValueError, LookupError, TypeError, AttributeError):
        yield f"{name}: the record can't be read any more."
    if version.state == "published":
        for edition in version.editions.all():
            yield from (f"{name}, {_named(edition)}: {says}" for says in _edition_faults(edition))


def _record_faults(version: Version, record: Record) -> Iterator[str]:
    """What a record does not agree with: its own form, the row, the files."""
    if canonical(record) != version.record:
        yield "the record is not in its canonical form."
    yield from _disagreements(version, record)
    home = choices_code(home_choices(record))
    if version.state == "published" and not version.editions.filter(code=home, state="made").exists():
        yield "it is published, and the edition that it was written in is missing."
    yield from _photo_faults(version, record)


def _disagreements(version: Version, record: Record) -> Iterator[str]:
    """Where the row of a version says something else than its record."""
    pairs = {
        "number": (version.number, record.get("number")),
        "kind": (version.kind, record.get("kind")),
        "note": (version.note, record.get("note")),
        "pattern": (version.pattern.slug, record.get("slug")),
        "moment": (written_time(version.frozen_at), record.get("frozen_on")),
    }
    for what, (stored, frozen) in pairs.items():
        if stored != frozen:
            yield f"its {what} is “{stored}” in the database and “{frozen}” in the record."
    if version.state == "published" and version.published_at is None:
        yield "it is published, and nothing says when."
    if version.state != "published" and version.published_at is not None:
        yield "it was published once, and is not any more."


def _named(edition: Edition) -> str:
    """An edition in words, or its code where its choices are lost."""
    try:
        return edition.words
    except KeyError:
        return edition.code


def _edition_faults(edition: Edition) -> Iterator[str]:
    """Whether the file of an edition has the bytes that its row tells of."""
    if edition.state != "made":
        return
    if choices_code({**EVERY_CHOICE, **edition.choices}) != edition.code:
        yield "its choices are others than those that it was made for."
    try:
        with default_storage.open(str(edition.file.name)) as stored:
            content = stored.read()
    except FilesOutOfReach:
        raise
    except (OSError, ValueError, SuspiciousFileOperation):
        yield f"its file {edition.file.name or '(none)'} is missing."
        return
    if len(content) != edition.size_bytes:
        yield f"its file {edition.file.name} has {len(content)} bytes instead of {edition.size_bytes}."
    if hashlib.sha256(content).hexdigest() != edition.sha256:
        yield f"its file {edition.file.name} was changed (its hash differs)."


def _photo_faults(version: Version, record: Record) -> Iterator[str]:
    """Whether the photos of a version are there as they were frozen."""
    held = set(version.frozen_photos.values_list("digest", flat=True))
    kept = record_pictures(record)
    if held != {photo["digest"] for photo in kept}:
        yield "its rows have other photos than its record."
    for photo in kept:
        yield from _files_faults(photo["files"], photo["digest"])


class Pictured(Protocol):
    """A row that holds a picture."""

    digest: Any
    files: Any


def picture_faults(row: Pictured) -> Iterator[str]:
    """Whether all files of a picture are there with their bytes."""
    yield from _files_faults(row.files, row.digest)


def _files_faults(files: Sequence[dict[str, Any]], digest: str) -> Iterator[str]:
    """What is wrong with the files of one picture, whose digest is that of its largest JPEG.

    Pictures of older programs have no hash of their smaller files: those are only looked at.
    """
    printed = photo_name(files)
    for one in files:
        try:
            with default_storage.open(one["name"]) as stored:
                content = stored.read()
        except FilesOutOfReach:
            raise
        except (OSError, SuspiciousFileOperation):
            yield f"its photo {one['name']} is missing."
            continue
        sha256 = digest if one["name"] == printed else one.get("sha256")
        if sha256:
            if hashlib.sha256(content).hexdigest() != sha256:
                yield f"its photo {one['name']} was changed (its hash differs)."
        elif not is_picture(content, one["width_px"], one["height_px"]):
            yield f"its photo {one['name']} is cut or damaged."
