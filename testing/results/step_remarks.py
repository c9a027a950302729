"""How many remarks testers made on each step of each version."""

from django.db.models import Count

from catalogue.models import Pattern
from testing.models import Remark


def remarks_by_step(pattern: Pattern) -> list[tuple[int, str, int]]:
    """The version's key, the place as errata name it, and how many remarks there are; one query."""
    found = Remark.objects.filter(result__call__pattern=pattern).order_by()
    counted = found.values_list("result__version", "place").annotate(count=Count("pk"))
    return [(version, place, count) for version, place, count in counted]
