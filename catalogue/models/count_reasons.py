"""Counts that do not come out and are meant so: the designer's reasons."""

from django.conf import settings
from django.db import models

from catalogue.models.patterns import Pattern


class CountReason(models.Model):
    """Why a count that does not come out stays as it is; it holds for as long as the words and counts do."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="count_reasons")
    key = models.CharField(max_length=64, help_text="SHA-256 of the words, the sizes and what is wrong.")
    reason = models.TextField()
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    kept_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("pattern", "key"), name="catalogue_count_reason_once"),
        )

    def __str__(self) -> str:
        return self.reason[:60]
