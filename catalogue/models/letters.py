"""E-mails on their way out."""

import uuid

from django.db import models
from django.utils import timezone


class Letter(models.Model):
    """An e-mail that goes out; once it has gone, its row keeps neither address nor words."""

    STATES = (("waiting", "waiting"), ("sent", "sent"), ("failed", "could not be sent"))
    # A key lets whoever reads it sign in, or set a password.
    KINDS = (("letter", "letter"), ("key", "key to an account"))

    name = models.UUIDField(default=uuid.uuid4, unique=True, help_text="Part of its Message-ID.")
    about = models.CharField(max_length=60, blank=True, help_text="The row it is about: it goes with it.")
    kind = models.CharField(max_length=6, choices=KINDS, default="letter")
    to = models.EmailField(blank=True)
    reply_to = models.EmailField(blank=True, default="", help_text="Who its answer goes to.")
    subject = models.TextField(blank=True)
    text = models.TextField(blank=True)
    html = models.TextField(blank=True)
    state = models.CharField(max_length=7, choices=STATES, default="waiting")
    tries = models.PositiveSmallIntegerField(default=0)
    try_at = models.DateTimeField(default=timezone.now, help_text="Not before.")
    says = models.TextField(blank=True, help_text="Why it has not gone, in a sentence.")
    posted_at = models.DateTimeField(default=timezone.now)
    settled_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("pk",)
        indexes = (models.Index(fields=("state", "try_at"), name="catalogue_letter_due"),)

    def __str__(self) -> str:
        return f"Letter {self.name}"
