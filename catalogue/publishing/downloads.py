"""Giving the PDFs of a pattern away."""

from catalogue.models import Pattern


def set_downloads(*, pattern: Pattern, is_free: bool) -> None:
    """Let visitors download the PDFs of released versions, or let them no longer."""
    Pattern.objects.filter(pk=pattern.pk).update(is_free=is_free)
