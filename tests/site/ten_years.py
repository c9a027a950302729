"""A studio of ten years around one of everything: many patterns, versions, holders, results, in bulk."""

import hashlib
import itertools
import re
from dataclasses import dataclass
from datetime import date, timedelta

from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.utils import timezone

from catalogue.models import (
    Edition,
    Erratum,
    FrozenPhoto,
    Holder,
    Notice,
    NoticeMail,
    Person,
    ReadCell,
    Version,
)
from catalogue.models.edition_choices import choices_code
from catalogue.public.listings import list_pattern
from catalogue.versions.records import digest_of, written_time
from grading.models import Sheet
from testing.models import Application, Entry, Placement, Result, TestCall

BATCH = 500
BEGUN = 10  # patterns that an editor has begun to read: far more than are edited at a time
CHOICES = {"hand": "right", "units": "cm", "terms": "US", "sizes": "all", "print": "screen", "paper": "A4"}
# How much of all belongs to the pattern that is looked at: the one that sells best.
SHARE = 12


@dataclass(frozen=True)
class Years:
    """How much has come together."""

    patterns: int
    versions: int
    holders: int
    results: int
    testers: int


TEN_YEARS = Years(patterns=300, versions=3_000, holders=60_000, results=20_000, testers=4_000)
FEW_WEEKS = Years(patterns=6, versions=24, holders=240, results=96, testers=24)


def fill(world, years):
    """Everything beside the world's own pattern, and a large share of it at that one."""
    patterns = [world.pattern, *copies(world.pattern, years.patterns)]
    versions = make_versions(world.release, patterns, years)
    make_readings(patterns[:BEGUN], world.people["editor"])
    people = make_testers(years.testers)
    make_holders(patterns, versions, years.holders)
    make_errata(patterns, versions, years)
    make_results(world, patterns, versions, people, years)


def make_readings(patterns, editor):
    """The first cell of each pattern as its editor ticked it before its words were changed."""
    ReadCell.objects.bulk_create(
        ReadCell(
            pattern=pattern, by=editor, section=0, step=0, size="S", digest="0" * 64, read_at=timezone.now()
        )
        for pattern in patterns
    )


def copies(pattern, number):
    """The same pattern under other names, with every row of its sheet and words."""
    made = []
    for at in range(number):
        sheet = copy_row(pattern.sheet)
        copy_rows(pattern.sheet, sheet)
        one = copy_row(pattern, slug=f"garment-{at}", title=f"Garment {at}", sheet=sheet)
        for section in pattern.sections.all():
            new = copy_row(section, pattern=one)
            steps = [copied(step, section=new) for step in section.steps.all()]
            type(steps[0])._base_manager.bulk_create(steps)
        made.append(one)
    return made


def copy_rows(sheet, new):
    """All rows of all tables that belong to a sheet."""
    for relation in Sheet._meta.related_objects:
        if relation.related_model._meta.app_label == "grading":
            rows = relation.related_model._base_manager.filter(sheet=sheet)
            relation.related_model._base_manager.bulk_create([copied(row, sheet=new) for row in rows])


def copied(row, **changes):
    """An unsaved copy of a row."""
    kept = {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}
    del kept[row._meta.pk.attname]
    for name in changes:
        kept.pop(row._meta.get_field(name).attname)
    return type(row)(**kept, **changes)


def copy_row(row, **changes):
    """A stored copy of a row."""
    new = copied(row, **changes)
    new.save(force_insert=True)
    return new


def make_versions(release, patterns, years):
    """Releases of all patterns, each with an edition and its file; the list shows the newest of each."""
    numbers: dict[int, int] = {}
    rows: list[Version] = []
    wanted = itertools.cycle(patterns)
    for at in range(years.versions):
        pattern = patterns[0] if at % SHARE == 0 and at < 40 * SHARE else next(wanted)
        numbers[pattern.pk] = minor = numbers.get(pattern.pk, 0) + 1
        then = timezone.now() - timedelta(days=3650 - at)
        text = record_text(
            release.record, number=f"1.{minor}", slug=pattern.slug, frozen_on=written_time(then)
        )
        rows.append(
            Version(
                pattern=pattern,
                major=1,
                minor=minor,
                kind="release",
                state="published",
                record=text,
                sha256=digest_of(text),
                frozen_at=then,
                published_at=then,
            )
        )
    made = Version.objects.bulk_create(rows, batch_size=BATCH)
    Edition.objects.bulk_create([edition_of(version) for version in made], batch_size=BATCH)
    photos = list(release.frozen_photos.all())
    FrozenPhoto.objects.bulk_create(
        [copied(photo, version=version) for version in made for photo in photos], batch_size=BATCH
    )
    for pattern in patterns:
        list_pattern(pattern)
    return made


def record_text(text, **said):
    """A record that says something else, written in its canonical form."""
    for name, words in said.items():
        text, times = re.subn(rf'"{name}":"[^"]*"', f'"{name}":"{words}"', text)
        assert times == 1, f"a record says once what its {name} is, not {times} times"
    return text


def edition_of(version):
    content = f"%PDF-1.7 {version.sha256}".encode()
    sha256 = hashlib.sha256(content).hexdigest()
    name = default_storage.save(f"editions/{sha256[:2]}/{sha256}.pdf", ContentFile(content))
    known = {"choices": CHOICES, "code": choices_code(CHOICES), "state": "made", "pages": 1, "key": sha256}
    return Edition(version=version, file=name, sha256=sha256, size_bytes=len(content), **known)


def make_testers(number):
    people = [Person(email=f"maker{at}@larkmoss.example", name=f"Maker {at}") for at in range(number)]
    return Person.objects.bulk_create(people, batch_size=BATCH)


def make_holders(patterns, versions, number):
    """Holders of all patterns, and for each of the best-selling one a notice that they were sent."""
    of = {version.pattern_id: version for version in versions}
    holders = Holder.objects.bulk_create(
        [
            Holder(pattern=pattern, email=f"holder{at}@larkmoss.example", version=of.get(pattern.pk))
            for at, pattern in (
                (at, patterns[0] if at % SHARE == 0 else patterns[at % len(patterns)]) for at in range(number)
            )
        ],
        batch_size=BATCH,
    )
    notice = Notice.objects.create(version=of[patterns[0].pk], state="sent", is_addressed=True)
    told = [one for one in holders if one.pattern == patterns[0]]
    mails = [NoticeMail(notice=notice, holder=one, state="handed") for one in told]
    NoticeMail.objects.bulk_create(mails, batch_size=BATCH)


def make_errata(patterns, versions, years):
    """Ten for each pattern, thirty more for the best-selling one; a third of them open."""
    of: dict[int, list[Version]] = {}
    for version in versions:
        of.setdefault(version.pattern_id, []).append(version)
    places = ("values.chest", "values.body_length", "sections[0].steps[0]", "materials")
    rows: list[Erratum] = []
    for pattern in [*(patterns * 10), *([patterns[0]] * 30)]:
        known, at = of[pattern.pk], len(rows)
        corrected = known[-1] if at % 3 and len(known) > 1 else None
        rows.append(
            Erratum(
                pattern=pattern,
                place=places[at % len(places)],
                says=f"{at} sts",
                should_say=f"{at + 1} sts",
                found_in=known[0],
                corrected_in=corrected,
                state="corrected" if corrected else "confirmed",
                due_on=date(2026, 1, 1) + timedelta(days=at % 700),
            )
        )
    Erratum.objects.bulk_create(rows, batch_size=BATCH)


def make_results(world, patterns, versions, people, years):
    """Calls of all patterns, ended or running, with a tester's place and garment for each result."""
    of = {version.pattern_id: version for version in versions}
    calls = TestCall.objects.bulk_create(
        [
            copied(world.call, pattern=pattern, version=of[pattern.pk], slug=f"call-{at}", state="ended")
            for at, pattern in enumerate(patterns)
        ],
        batch_size=BATCH,
    )
    calls[0] = world.call
    # The call that is looked at is as large as they come: a hundred garments.
    large = min(100, years.results // 3)
    call_of = [calls[0]] * large + [calls[1 + at % (len(calls) - 1)] for at in range(years.results - large)]
    applications = Application.objects.bulk_create(
        [
            copied(world.application, call=call, email=f"a{at}@larkmoss.example", name=f"Maker {at}",
                   token=f"{at:016d}", state="finished")
            for at, call in enumerate(call_of)
        ],
        batch_size=BATCH,
    )  # fmt: skip
    places = Placement.objects.bulk_create(
        [
            copied(world.place, call=call, application=application, person=people[at % len(people)])
            for at, (call, application) in enumerate(zip(call_of, applications, strict=True))
        ],
        batch_size=BATCH,
    )
    now, sizes = timezone.now(), ("S", "M", "L")
    results = Result.objects.bulk_create(
        [
            Result(
                call=call,
                placement=place,
                version=call.version,
                size=sizes[at % 3],
                done_at=now - timedelta(days=at % 3000),
            )
            for at, (call, place) in enumerate(zip(call_of, places, strict=True))
        ],
        batch_size=BATCH,
    )
    Entry.objects.bulk_create(
        [entry for at, result in enumerate(results) for entry in entries_of(result, at)], batch_size=BATCH
    )


def entries_of(result, at):
    """Gauge and measurements of one garment, near what was planned (tests/data/testing/fernhollow_vest)."""
    gauge = {"stitches": 0.20 + at % 5 / 1000, "rows": 0.28 - at % 7 / 1000}
    yield Entry(result=result, part="gauge", name="main", meant=gauge)
    yield Entry(result=result, part="measured", name="chest", meant={"mm": 900.0 + 60 * (at % 3) + at % 11})
    yield Entry(result=result, part="measured", name="body_length", meant={"mm": 545.0 + at % 13})
