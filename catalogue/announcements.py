"""What follows from a publication or a correction: the public list, and the draft of a notice."""

from django.db import transaction

from catalogue.errata import correct_erratum
from catalogue.listings import list_pattern
from catalogue.models import Erratum, Notice, Person, Version
from catalogue.notices import draft_notice, draft_notice_of


def announce_version(version: Version) -> None:
    """Show a new release in the list; draft what the holders of older versions are told."""
    if version.kind == "release":
        list_pattern(version.pattern)
        draft_notice(version)


@transaction.atomic
def correct_afterwards(
    *, erratum: Erratum, version: Version, by: Person | None, seen: str | None = None
) -> Notice | None:
    """Say that a version which is out already corrects a mistake; draft what its holders are told of it."""
    correct_erratum(erratum=erratum, version=version, by=by, seen=seen)
    return draft_notice_of(erratum)
