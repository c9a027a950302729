"""Builds patterns, photos and versions for the tests of the catalogue."""

import io
from datetime import UTC, datetime
from pathlib import Path

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import edit_document
from catalogue.drafts.patterns import load_pattern
from catalogue.models import Studio
from catalogue.photos.photos import add_photos
from catalogue.photos.pictures import clean_picture
from catalogue.publishing.publishing import Publication, publish_version
from catalogue.versions.freezing import Heading, draft_record
from catalogue.versions.records import canonical, read_record
from tests.builders import make_studio, sample
from tests.catalogue import pictures

SAMPLES = ("brackenmere_pullover", "cinderfell_raglan", "puffinbay_child", "thistledrift_waistcoat")
ROOT = Path(__file__).resolve().parents[2]
ADDRESS = "https://larkmoss.example"


def make_pattern(name="brackenmere_pullover", **changes):
    """A draft from a sample, in a studio."""
    if not Studio.objects.exists():
        make_studio(address="3 Weir Lane, Larkmoss")
    return load_pattern(document={**sample(name), **changes}, by=None)


def make_version(pattern=None, *, kind="release", number="1.0", note="", by=None, corrects=(), editions=()):
    """A published version by the one path; the test's settings give a public address."""
    return publish_version(
        Publication(
            pattern=pattern or make_pattern(),
            kind=kind,
            number=number,
            note=note,
            by=by,
            corrects=corrects,
            editions=editions,
        )
    )


def make_record(pattern=None, *, kind="test", number="0.1", note=""):
    """The record of a draft as a version would freeze it, without a version or a PDF."""
    at = datetime(2026, 3, 1, 10, tzinfo=UTC)
    draft = draft_record(pattern or make_pattern(), Heading(number, kind, note, at))
    return read_record(canonical(draft))


def make_photo(pattern, *, alt="A jumper on a line", caption="", picture=None):
    """A photo of a pattern."""
    clean = clean_picture(io.BytesIO(pictures.jpeg(picture)))
    return add_photos(pattern=pattern, photos=[(clean, alt)], caption=caption)[0]


def edit(pattern, change):
    """Edit a pattern's document by a function that changes it in place."""
    pattern.refresh_from_db()
    document = pattern_document(pattern)
    change(document)
    return edit_document(pattern=pattern, revision=pattern.sheet.revision, document=document, by=None)


def value_of(document, name):
    """A value of a document by its name."""
    return next(value for value in document["values"] if value["name"] == name)


def content_of(edition):
    """The bytes of an edition's file."""
    with edition.file.open("rb") as file:
        return file.read()
