"""Taking a pattern out of the list, and back; every old address stays."""

from django.db import transaction
from django.utils import timezone

from catalogue.models import Pattern
from catalogue.public.listings import list_pattern


@transaction.atomic
def retire_pattern(*, pattern: Pattern) -> None:
    """Offer a pattern no longer."""
    Pattern.objects.filter(pk=pattern.pk, retired_at=None).update(retired_at=timezone.now())
    list_pattern(pattern)


@transaction.atomic
def offer_pattern(*, pattern: Pattern) -> None:
    """Offer a pattern again."""
    Pattern.objects.filter(pk=pattern.pk).update(retired_at=None)
    list_pattern(pattern)


def set_chart_shown(*, pattern: Pattern, shows_chart: bool) -> None:
    """Show one small chart on the public page, or none."""
    Pattern.objects.filter(pk=pattern.pk).update(shows_chart=shows_chart)
