"""Errata read anew and kept as they are until a transaction ends."""

from collections.abc import Sequence

from catalogue.models import Erratum


def hold_errata(errata: Sequence[Erratum]) -> list[Erratum]:
    """Read errata anew, in their order, and keep them as they are until the transaction ends."""
    asked = [one.pk for one in errata]
    held = Erratum.objects.select_for_update(of=("self",), no_key=True).select_related("found_in")
    found = {one.pk: one for one in held.filter(pk__in=asked).order_by("pk")}
    return [found[pk] for pk in asked if pk in found]


def hold_erratum(erratum: Erratum) -> None:
    """Read an erratum anew and keep it as it is until the transaction ends: what was read may be old."""
    erratum.refresh_from_db(from_queryset=Erratum.objects.select_for_update(of=("self",), no_key=True))
