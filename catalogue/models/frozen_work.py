"""What was worked out from frozen records: kept, since records never change."""

from django.db import models


class FrozenWork(models.Model):
    """One thing that was worked out, by the fingerprint of all that it was made from, the program included.

    A row without its record is no harm, and a row that is missing is made again: backups leave them out.
    """

    key = models.CharField(max_length=64, primary_key=True)
    program = models.CharField(max_length=64, db_index=True, help_text="Fingerprint of what made it.")
    kind = models.CharField(max_length=20)
    text = models.TextField()
    made_at = models.DateTimeField(auto_now_add=True, db_index=True)

    def __str__(self) -> str:
        return f"{self.kind} {self.key[:12]}"
