"""E-mails of a call: their words, and which went out."""

from django.db import models

from testing.models.places import Application


class MailText(models.Model):
    """The designer's own words for a kind of e-mail; without a row the studio's usual words are sent."""

    kind = models.CharField(max_length=20, unique=True)
    subject = models.CharField(max_length=150)
    text = models.TextField()
    changed_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return self.kind


class SentMail(models.Model):
    """An e-mail that was handed to the worker: each goes out once for its occasion."""

    application = models.ForeignKey(Application, on_delete=models.CASCADE, related_name="sent_mails")
    kind = models.CharField(max_length=20)
    occasion = models.CharField(max_length=60, help_text="What it is about, such as the date.")
    queued_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint(fields=("application", "kind", "occasion"), name="testing_mail_once"),
        )

    def __str__(self) -> str:
        return f"{self.kind} {self.occasion}"
