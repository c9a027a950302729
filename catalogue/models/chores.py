"""What waits for a chore: chores that failed until they succeed again, marks to be written."""

from django.db import models


class FailedChore(models.Model):
    """What is not done because its chore fails, why, and since when."""

    undone = models.CharField(max_length=120, unique=True, help_text="What is so while it fails.")
    why = models.TextField()
    since = models.DateTimeField(auto_now_add=True)
    tried_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("since", "pk")

    def __str__(self) -> str:
        return f"{self.undone}: {self.why}."


class SeenClock(models.Model):
    """What this machine's clock said when it was last believed, and since when it is doubted. One row."""

    believed_at = models.DateTimeField()
    doubted_from = models.DateTimeField(null=True)
    doubted_at = models.DateTimeField(null=True)

    def __str__(self) -> str:
        return f"{self.believed_at}"


class UnsweptErasure(models.Model):
    """Something was erased whose bytes still stand in the files of the database."""

    erased_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.erased_at}"


class ErasureMark(models.Model):
    """The mark of something erased, until it stands beside the files, where it outlives a restored backup."""

    mark = models.CharField(max_length=64, unique=True)

    def __str__(self) -> str:
        return self.mark
