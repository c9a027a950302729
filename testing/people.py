"""How a tester likes to be asked."""

from django.db import transaction

from catalogue.models import Person


@transaction.atomic
def choose_units(*, person: Person, units: str) -> None:
    """Ask and show lengths in these units."""
    Person.objects.filter(pk=person.pk).update(units=units)
