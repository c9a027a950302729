"""By what a maker without a number tells which version they have: what each one changed."""

from dataclasses import dataclass

from catalogue.models import Version
from catalogue.versions.changes import Changes, differences
from catalogue.versions.printed_changes import NumberRow, number_rows

MOST_SIGNS = 3


@dataclass(frozen=True)
class VersionSigns:
    """One release with a few of the things that it says otherwise than the one before."""

    version: Version
    before: Version | None
    numbers: list[NumberRow]
    changes: Changes | None


def version_signs(releases: list[Version], units: str) -> list[VersionSigns]:
    """Each release, oldest first, with what tells it from the one before."""
    signs = []
    for before, version in zip([None, *releases], releases, strict=False):
        changes = differences(before, version) if before else None
        numbers = number_rows(changes, units)[:MOST_SIGNS] if changes else []
        few = Changes(words=changes.words[:MOST_SIGNS]) if changes else None
        signs.append(VersionSigns(version, before, numbers, few))
    return signs
