"""The technical edit: what an editor asked and signed off."""

from django.conf import settings
from django.db import models

from catalogue.models.patterns import Pattern


class TechnicalEdit(models.Model):
    """A state of a pattern that an editor has read and signed off."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="technical_edits")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    signed_at = models.DateTimeField(auto_now_add=True)
    note = models.TextField(blank=True)
    unread = models.PositiveIntegerField(
        null=True, help_text="How many cells the editor had not ticked as read; null before it was kept."
    )
    fingerprint = models.CharField(max_length=64, help_text="SHA-256 of the state that was read.")
    record = models.TextField(help_text="That state as canonical JSON, to tell what changed since.")
    withdrawn_at = models.DateTimeField(null=True)
    withdrawn_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    withdrawal = models.TextField(blank=True, help_text="Why it was withdrawn.")

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.pattern}, {self.signed_at:%Y-%m-%d}"


class EditQuery(models.Model):
    """Something that the editor asks in a round, and its answer."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="edit_queries")
    technical_edit = models.ForeignKey(
        TechnicalEdit,
        on_delete=models.CASCADE,
        null=True,
        related_name="queries",
        help_text="The sign-off that ended its round; none while the round is open.",
    )
    place = models.CharField(max_length=200, help_text="As errata name it.")
    size = models.CharField(max_length=40, blank=True, help_text="The size it is about; none for all.")
    row = models.TextField(blank=True, help_text="The line of the account as it stood when it was asked.")
    is_blocking = models.BooleanField(default=False, help_text="No release is made before it is answered.")
    asks = models.TextField()
    asked_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    asked_at = models.DateTimeField(auto_now_add=True)
    answer = models.TextField(blank=True)
    answered_by = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+"
    )
    answered_at = models.DateTimeField(null=True)
    settled_at = models.DateTimeField(
        null=True, help_text="When an editor said that the answer is enough, or asked again."
    )

    class Meta:
        ordering = ("pk",)
        verbose_name_plural = "edit queries"

    def __str__(self) -> str:
        return self.asks[:60]

    @property
    def is_self_answered(self) -> bool:
        """Whether the person who asked gave the answer too."""
        return bool(self.answer) and self.asked_by_id is not None and self.asked_by_id == self.answered_by_id


class ReadCell(models.Model):
    """A step in one size that an editor has read; it counts for as long as its words and numbers stay."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="read_cells")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    section = models.PositiveSmallIntegerField()
    step = models.PositiveSmallIntegerField()
    size = models.CharField(max_length=40)
    digest = models.CharField(max_length=64, help_text="SHA-256 of its words as printed and of its counts.")
    read_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("pattern", "by", "section", "step", "size"), name="catalogue_read_cell_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.section}.{self.step} {self.size}"


class WordsDraft(models.Model):
    """What somebody is typing in a step, kept until it is saved: per person and place."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="words_drafts")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.CASCADE, related_name="+")
    place = models.CharField(max_length=60, help_text="The address of the form within the words.")
    revision = models.PositiveIntegerField(help_text="The sheet's revision when the form was opened.")
    text = models.TextField()
    kept_at = models.DateTimeField(auto_now=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("pattern", "by", "place"), name="catalogue_words_draft_once"),
        )

    def __str__(self) -> str:
        return f"{self.place}: {self.text[:40]}"
