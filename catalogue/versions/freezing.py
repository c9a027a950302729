"""Freezing: gathers all that a version is made from, and all that comes of it, into one record."""

from collections.abc import Iterable
from copy import deepcopy
from dataclasses import asdict, dataclass, replace
from datetime import datetime
from typing import Any, Literal, cast

from django.utils import timezone

from catalogue.drafts.documents import pattern_document
from catalogue.instructions.count_reasons import count_record
from catalogue.materials.ended_yarns import draft_ended
from catalogue.materials.tool_lengths import changed_lengths
from catalogue.materials.yarns import chosen_shades
from catalogue.models import Erratum, Pattern, Photo, Studio
from catalogue.studio.clock import zone_of
from catalogue.studio.public_address import public_address
from catalogue.versions.changes import record_differences
from catalogue.versions.frozen_helps import help_records
from catalogue.versions.frozen_practice import practice_record
from catalogue.versions.frozen_rights import rights_on
from catalogue.versions.frozen_stitches import stitch_pictures
from catalogue.versions.records import Record, canonical, read_record, written_time
from catalogue.versions.spots import spot_words
from grading.core.grade.grade import Graded, grade
from grading.core.instructions.facts import facts_of
from grading.core.instructions.steps import PrintedPart, render_step, when_label
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.wordings import FIRST_WORDING, NEWEST_WORDING
from grading.core.printing.edition import PrintForm, Terms, Units
from grading.core.printing.numbers import number_list
from grading.sheets.kept_sheets import kept_sheet, work_out_document

Kind = Literal["test", "release"]

# The number of no version, by which a draft that is read through is known: versions begin with 0.1.
NO_VERSION = "0.0"
# Canonical JSON sorts keys, but these parts of a pattern file are in the order of the designer.
ORDERED_PARTS = ("body", "fabrics", "abbreviations")


@dataclass(frozen=True)
class Heading:
    """What a version is called: its number, its kind, the designer's own words, and when."""

    number: str
    kind: Kind
    note: str
    at: datetime


def draft_record(pattern: Pattern, heading: Heading, corrects: Iterable[Erratum] = ()) -> Record:
    """All inputs and results of a pattern as it stands, and what changed since the version before."""
    record = standing_record(pattern, heading, corrects)
    return {**record, "changes": _changes(pattern, record)}


def standing_record(
    pattern: Pattern, heading: Heading, corrects: Iterable[Erratum] = (), studio: Studio | None = None
) -> Record:
    """All inputs and results of a pattern as it stands; `studio` where the caller has read it."""
    document = draft_document(pattern)
    core = read_pattern(document)
    graded = grade(core)
    studio = studio or Studio.objects.first()  # printed in the colophon
    day = timezone.localdate(heading.at, zone_of(studio))
    record = {
        "format": "evenrow-version",
        "format_version": 1,
        "wording": NEWEST_WORDING,
        "slug": pattern.slug,
        "title": pattern.title,
        "number": heading.number,
        "kind": heading.kind,
        "note": heading.note,
        "frozen_on": written_time(heading.at),
        "day": day.isoformat(),  # the studio's, as its pages tell it; older records have none and print UTC's
        "url": public_address(studio),
        "studio": {"name": studio.name, "address": studio.address} if studio else {"name": "", "address": ""},
        "pattern": document,
        "order": {part: list(document[part]) for part in ORDERED_PARTS if part in document},
        "results": graded.as_json(),
        "words": printed_sections(core, graded),
        "count_audit": count_record(pattern),
        "photos": [_photo(photo) for photo in pattern.photos.all()],
        "shades": chosen_shades(pattern),
        "tool_lengths": changed_lengths(),
    }
    if helps := help_records(core):
        record["helps"] = helps
    if pictures := stitch_pictures(document):
        record["special_pictures"] = pictures
    if pattern.rights:  # older records have none, and print none
        record["rights"] = rights_on(pattern, day)
    record |= draft_ended(pattern, document)
    if practice := practice_record(pattern, core, graded):
        record["practice"] = practice
    record["corrects"] = [_corrected(one, record) for one in corrects]
    return record


def draft_document(pattern: Pattern) -> dict[str, Any]:
    """The document of a draft, as last worked out; its fingerprint tells of edits."""
    kept = kept_sheet(pattern.sheet.fingerprint)
    return deepcopy((kept or work_out_document(pattern_document(pattern), trusted=True)).document)


def record_pattern(record: Record, *, trusted: bool = False) -> PatternFile:
    """The pattern of a record, in the designer's order, to be printed in the words of its time.

    One that was read before to the letter may be trusted to fit.
    """
    core = read_pattern(record_document(record), trusted=trusted)
    return replace(core, wording=record.get("wording", FIRST_WORDING))


def record_document(record: Record) -> dict[str, Any]:
    """The pattern file of a record, in the designer's order."""
    document = dict(record["pattern"])
    for part, names in record["order"].items():
        document[part] = {name: document[part][name] for name in names}
    return document


def printed_sections(core: PatternFile, graded: Graded) -> list[dict[str, Any]]:
    """Every step as printed for all sizes in the pattern's own units and terms, as plain text."""
    facts = facts_of(core, graded)
    home = PrintForm(cast("Units", core.home_units), cast("Terms", core.home_terms))
    return [
        {
            "title": section.title,
            "when": when_label(section.when, core),
            "steps": [step_text(render_step(step, facts, home, section.when)) for step in section.steps],
        }
        for section in core.sections
    ]


def step_text(parts: Iterable[PrintedPart]) -> str:
    """One step as plain text: each part with whom it is for, and its table as lines."""
    lines = []
    for part in parts:
        lines.append(f"{part.label}: {part.text.strip()}" if part.label else part.text.strip())
        lines += [
            f"[{row.key}] {row.label}: {number_list(row.texts)} {row.unit}".rstrip() for row in part.table
        ]
    return "\n".join(lines)


def _corrected(erratum: Erratum, record: Record) -> Record:
    """What an erratum said and should say; its place as the version calls it that it was found in."""
    found = read_record(erratum.found_in.record) if erratum.found_in else record
    return {
        "place": erratum.place,
        "where": spot_words(erratum.place, found),
        "sizes": erratum.sizes,
        "says": erratum.says,
        "should_say": erratum.should_say,
    }


def _changes(pattern: Pattern, record: Record) -> dict[str, Any]:
    """What changed since the version before: the last release, or for a test version the last of all."""
    before = pattern.versions.filter(state="published").order_by("-major", "-minor")
    last = (before.filter(kind="release") if record["kind"] == "release" else before).first()
    if last is None:
        return {}
    # As it will be read again: decimals of six places on both sides.
    now = read_record(canonical(record))
    return {"since": last.number, **asdict(record_differences(read_record(last.record), now))}


def _photo(photo: Photo) -> dict[str, Any]:
    """A photo by its digest: the files themselves are named after it."""
    return {
        "alt": photo.alt,
        "caption": photo.caption,
        "width_px": photo.width_px,
        "height_px": photo.height_px,
        "digest": photo.digest,
        "files": photo.files,
    }
