"""Verifying: whether records, database and files of all versions still agree, each fault named."""

import hashlib
from collections.abc import Iterator

from django.core.files.storage import default_storage

from catalogue.edition_files import photo_name
from catalogue.file_cabinet import leftover_files
from catalogue.models import Edition, Version
from catalogue.records import Record, canonical, digest_of, read_record


def faults() -> Iterator[str]:
    """Every fault of every version, one sentence each; none when all is well."""
    for version in Version.objects.select_related("pattern").order_by("pk").iterator(chunk_size=20):
        yield from version_faults(version)
    for name in leftover_files():
        yield f"{name}: no edition has this file; it is swept with the next publication."


def version_faults(version: Version) -> Iterator[str]:
    """What does not agree in one version."""
    name = f"{version.pattern} {version.number}"
    if digest_of(version.record) != version.sha256:
        yield f"{name}: the record is not the one that was frozen (its hash differs)."
    try:
        record = read_record(version.record)
        is_canonical = canonical(record) == version.record
    except ValueError:
        yield f"{name}: the record can't be read any more."
        return
    if not is_canonical:
        yield f"{name}: the record is not in its canonical form."
    yield from (f"{name}: {says}" for says in _disagreements(version, record))
    if version.state == "published":
        for edition in version.editions.all():
            yield from (f"{name}, {edition.words}: {says}" for says in _edition_faults(edition))
    yield from (f"{name}: {says}" for says in _photo_faults(record))


def _disagreements(version: Version, record: Record) -> Iterator[str]:
    """Where the row of a version says something else than its record."""
    pairs = {
        "number": (version.number, record.get("number")),
        "kind": (version.kind, record.get("kind")),
        "note": (version.note, record.get("note")),
        "pattern": (version.pattern.slug, record.get("slug")),
    }
    for what, (stored, frozen) in pairs.items():
        if stored != frozen:
            yield f"its {what} is “{stored}” in the database and “{frozen}” in the record."
    if version.state == "published" and version.published_at is None:
        yield "it is published, and nothing says when."


def _edition_faults(edition: Edition) -> Iterator[str]:
    """Whether the file of an edition has the bytes that its row tells of."""
    if edition.state != "made":
        return
    try:
        with default_storage.open(str(edition.file.name)) as stored:
            content = stored.read()
    except (OSError, ValueError):
        yield f"its file {edition.file.name or '(none)'} is missing."
        return
    if len(content) != edition.size_bytes:
        yield f"its file {edition.file.name} has {len(content)} bytes instead of {edition.size_bytes}."
    if hashlib.sha256(content).hexdigest() != edition.sha256:
        yield f"its file {edition.file.name} was changed (its hash differs)."


def _photo_faults(record: Record) -> Iterator[str]:
    """Whether the photos of a version are there as they were frozen."""
    for photo in record["photos"]:
        name = photo_name(photo)
        try:
            with default_storage.open(name) as stored:
                digest = hashlib.sha256(stored.read()).hexdigest()
        except OSError:
            yield f"its photo {name} is missing."
            continue
        if digest != photo["digest"]:
            yield f"its photo {name} was changed (its hash differs)."
