"""What the designer notes about testers."""

from django.conf import settings
from django.db import models


class TesterNote(models.Model):
    """The designer's own note about a tester: no page shows it to anybody else."""

    person = models.OneToOneField(
        settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="tester_note"
    )
    text = models.TextField()
    changed_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return self.text[:60]
