"""How a tester likes to be asked, and whether."""

from django.db import transaction
from django.db.models import Q

from catalogue.models import Person
from testing.models import Application


@transaction.atomic
def choose_units(*, person: Person, units: str) -> None:
    """Ask and show lengths in these units."""
    Person.objects.filter(pk=person.pk).update(units=units)


@transaction.atomic
def ask_no_more(*, person: Person) -> None:
    """Take back that the studio may ask for later calls."""
    own = Application.objects.filter(Q(email__iexact=person.email) | Q(placement__person=person))
    Application.objects.filter(pk__in=own.values("pk")).update(may_ask_again=False)
