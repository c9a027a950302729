"""What the results of a call come to, and how doubtful entries are to be read."""

from typing import Any

from django.conf import settings
from django.db import models

from testing.models.calls import TestCall
from testing.models.results import Entry

# Keeps stitches and rows of one gauge, both at most 2 per mm, apart in the one number of what was seen.
GAUGE_BASE = 1_000_000.0


def seen_number(meant: dict[str, Any]) -> float | None:
    """What an entry said when it was looked at: its mm, or of a gauge stitches and rows together."""
    if "mm" in meant:
        return float(meant["mm"])
    if "stitches" not in meant:
        return None
    return GAUGE_BASE * float(meant["stitches"]) + float(meant["rows"])


class Assessment(models.Model):
    """The stored assessment of a call, with the fingerprint of all that it rests on."""

    call = models.OneToOneField(TestCall, on_delete=models.CASCADE, related_name="assessment")
    fingerprint = models.CharField(max_length=64)
    found = models.JSONField(
        default=dict, help_text="Verdicts, doubtful entries, fitted gauges, yarn, hours."
    )
    made_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"{self.call} ({self.fingerprint[:8]})"


class Reading(models.Model):
    """How somebody decided that a doubtful entry is to be read; the entry stays as it was typed.

    It counts only while the entry is the one that was looked at.
    """

    entry = models.OneToOneField(Entry, on_delete=models.CASCADE, related_name="reading")
    seen = models.FloatField(help_text="What the entry said when it was looked at.")
    looks_like = models.CharField(max_length=12)
    meant_mm = models.FloatField(null=True, help_text="What it means; empty where it is left out.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    decided_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"{self.entry} as {self.looks_like}"

    @property
    def counts(self) -> bool:
        """Whether the entry is still what was looked at."""
        return seen_number(self.entry.meant) == self.seen
