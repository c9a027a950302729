"""Taking a pattern out of the list, and back; its corrections and every old address stay."""

from django.db import transaction
from django.utils import timezone

from catalogue.listings import list_pattern
from catalogue.models import Pattern


@transaction.atomic
def retire_pattern(*, pattern: Pattern) -> None:
    """Offer a pattern no longer."""
    pattern.retired_at = pattern.retired_at or timezone.now()
    pattern.save(update_fields=("retired_at",))
    list_pattern(pattern)


@transaction.atomic
def offer_pattern(*, pattern: Pattern) -> None:
    """Offer a pattern again."""
    pattern.retired_at = None
    pattern.save(update_fields=("retired_at",))
    list_pattern(pattern)
