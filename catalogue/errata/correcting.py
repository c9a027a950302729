"""Corrections in a version that is out, and what its holders are told of them."""

from django.db import transaction

from catalogue.errata.errata import correct_erratum
from catalogue.holders.notices import draft_notice_of
from catalogue.models import Erratum, Notice, Person, Version


@transaction.atomic
def correct_afterwards(
    *, erratum: Erratum, version: Version, by: Person | None, seen: str | None = None
) -> Notice | None:
    """Say that a version which is out already corrects a mistake; draft what its holders are told of it."""
    correct_erratum(erratum=erratum, version=version, by=by, seen=seen)
    return draft_notice_of(erratum)
