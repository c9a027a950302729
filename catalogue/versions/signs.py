"""By what a maker without a number tells which version they have: what each one changed."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import pairwise

from django.template.loader import render_to_string
from django.utils.safestring import SafeString, mark_safe

from catalogue.models import Version
from catalogue.versions.changes import Changes, WordChange, record_differences
from catalogue.versions.frozen_grades import version_digest
from catalogue.versions.frozen_work import Asked, kept_all
from catalogue.versions.printed_changes import number_rows
from catalogue.versions.records import Record, read_record

MOST_SIGNS = 12  # of the numbers, and of the steps


@dataclass(frozen=True)
class VersionSigns:
    """One release with what it says otherwise than the one before, as HTML."""

    version: Version
    before: Version | None
    changed: SafeString | None


@dataclass(frozen=True)
class TellTale:
    """One sentence by which two versions are told apart: where it stands, and what each says."""

    where: str
    old: str
    new: str


def version_signs(releases: Sequence[Version], units: str) -> list[VersionSigns]:
    """Each release, oldest first, with what tells it from the one before: compared once and kept."""
    pairs = list(pairwise(releases))
    asked = [_asked(before, version, units) for before, version in pairs]

    def make(missing: Collection[Asked]) -> dict[Asked, str]:
        wanted = [pair for pair, one in zip(pairs, asked, strict=True) if one in missing]
        texts = Version.objects.filter(pk__in={version.pk for pair in wanted for version in pair})
        records = {pk: read_record(text) for pk, text in texts.values_list("pk", "record")}
        return {
            _asked(before, version, units): _signs(records[before.pk], records[version.pk], units)
            for before, version in wanted
        }

    made = kept_all("signs", asked, make)
    later = [
        # Made from our own template by this very program.
        VersionSigns(version, before, mark_safe(made[one]))  # noqa: S308
        for (before, version), one in zip(pairs, asked, strict=True)
    ]
    return [VersionSigns(version, None, None) for version in releases[:1]] + later


def _asked(before: Version, version: Version, units: str) -> Asked:
    """All that the signs of a release hang on."""
    return version_digest(before), version_digest(version), units


def _signs(before: Record, record: Record, units: str) -> str:
    """What a release says otherwise; empty where nothing differs that is printed."""
    changes = record_differences(before, record)
    numbers, words = number_rows(changes, units)[:MOST_SIGNS], changes.words[:MOST_SIGNS]
    if not numbers and not words:
        return ""
    page = {"number_rows": numbers, "changes": Changes(words=words), "tell_tale": tell_tale(words)}
    return str(render_to_string("catalogue/versions/_signs.html", page))


def tell_tale(words: Sequence[WordChange]) -> TellTale | None:
    """The shortest sentence that both versions have, each in its own words; None where no step has one."""
    found = [
        TellTale(f"{change.section}, step {change.step}", old, new)
        for change in words
        for old, new in change.sentences
        if old and new
    ]
    return min(found, key=lambda one: len(one.old) + len(one.new), default=None)
