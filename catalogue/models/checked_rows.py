"""Rows of size tables that somebody of the studio has compared with their own copy of the source."""

from django.conf import settings
from django.db import models


class CheckedRow(models.Model):
    """A row of a size table that agrees with the source; it counts while its figures stay the same."""

    table = models.CharField(max_length=80, help_text="Key of the table.")
    measurement = models.CharField(max_length=80)
    digest = models.CharField(max_length=64, help_text="SHA-256 of unit, sizes and figures as compared.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    checked_on = models.DateField()

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("table", "measurement"), name="catalogue_checked_row_once"),
        )

    def __str__(self) -> str:
        return f"{self.table}: {self.measurement}"
