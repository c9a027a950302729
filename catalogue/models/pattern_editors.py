"""Editors of single patterns, and what designers ask them to sign."""

from django.conf import settings
from django.db import models

from catalogue.models.patterns import Pattern


class PatternAccess(models.Model):
    """That an editor may work on a pattern, who sees no others but those of such rows."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="accesses")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="pattern_accesses"
    )
    given_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    given_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("pattern", "person"), name="catalogue_pattern_access_once"),
        )
        verbose_name_plural = "pattern accesses"

    def __str__(self) -> str:
        return f"{self.person}: {self.pattern}"


class SignatureRequest(models.Model):
    """That a designer waits for an editor to check and sign a pattern; gone once signed or withdrawn."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="signature_requests")
    editor = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    asked_at = models.DateTimeField(auto_now_add=True)
    note = models.TextField(blank=True)
    due_on = models.DateField(null=True, help_text="The day by which it is wanted.")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("pattern", "editor"), name="catalogue_signature_asked_once"),
        )
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.pattern}: {self.editor}"
