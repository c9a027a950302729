"""People who hold a pattern, and the notices of corrections that they get."""

from django.db import models
from django.db.models.functions import Lower

from catalogue.models.errata import Erratum
from catalogue.models.link_tokens import new_token
from catalogue.models.patterns import Pattern
from catalogue.models.people import Person
from catalogue.models.versions import Version


class Holder(models.Model):
    """Somebody who has a version of a pattern and may want to hear of its corrections."""

    STATES = (
        ("asked", "asked, not yet confirmed"),
        ("wants", "gets notices"),
        ("left", "unsubscribed"),
        ("bounced", "address does not work"),
        ("complained", "called a notice unwanted"),
    )
    SOURCES = (("typed", "typed in"), ("imported", "imported"), ("own", "signed up"))

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="holders")
    email = models.EmailField()
    version = models.ForeignKey(
        Version, on_delete=models.PROTECT, null=True, related_name="+", help_text="Null where unknown."
    )
    held_since = models.DateField(null=True)
    source = models.CharField(max_length=8, choices=SOURCES, default="typed")
    state = models.CharField(max_length=10, choices=STATES, default="wants")
    asked_at = models.DateTimeField(null=True, help_text="When the address was last asked to confirm.")
    token = models.CharField(
        max_length=16,
        default=new_token,
        help_text="Part of the holder's links; empty where older e-mails have links without one.",
    )
    pdf_versions = models.ManyToManyField(
        Version, related_name="+", help_text="What they have bought, by the studio's word and not by theirs."
    )
    pdf_token = models.CharField(
        max_length=16, blank=True, default="", help_text="Part of the links to their PDFs; empty: none."
    )
    stored_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("pk",)
        constraints = (
            models.UniqueConstraint("pattern", Lower("email"), name="catalogue_holder_once_per_pattern"),
        )

    def __str__(self) -> str:
        return self.email


class Notice(models.Model):
    """What the holders of older versions are told when a version that corrects something is published."""

    STATES = (
        ("draft", "draft"),
        ("sending", "being sent"),
        ("stopped", "stopped: something must be put right"),
        ("sent", "sent"),
        ("dropped", "not sent"),
    )

    version = models.ForeignKey(Version, on_delete=models.PROTECT, related_name="notices")
    errata = models.ManyToManyField(
        Erratum, related_name="notices", help_text="The corrections it names, once it is sent or dropped."
    )
    also = models.ManyToManyField(
        Version, related_name="+", help_text="Older releases whose drafts were put into this one."
    )
    joined = models.JSONField(default=list, help_text="Keys that drafts had which were put into this one.")
    words = models.TextField(blank=True, max_length=2_000, help_text="What the studio says below the list.")
    state = models.CharField(max_length=7, choices=STATES, default="draft")
    letters = models.JSONField(default=dict, help_text="The e-mail for each version, as it is sent.")
    listed = models.JSONField(
        default=dict, help_text="Keys of errata that each letter lists as corrected before, as it is sent."
    )
    is_addressed = models.BooleanField(default=False, help_text="Whether everybody is in its list.")
    says = models.TextField(blank=True, help_text="What stopped it, or what it waits for.")
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    drafted_at = models.DateTimeField(auto_now_add=True)
    started_at = models.DateTimeField(null=True)
    finished_at = models.DateTimeField(null=True)

    class Meta:
        constraints = (
            models.UniqueConstraint(
                fields=("version",), condition=models.Q(state="draft"), name="catalogue_notice_one_draft"
            ),
        )

    def __str__(self) -> str:
        return f"Notice of {self.version}"

    @property
    def name(self) -> str:
        """What lists call it: what came out, and whom it is for."""
        return f"Corrections out in {self.version.number}: for holders of earlier or unknown versions"


class NoticeMail(models.Model):
    """One holder's letter of one notice: sent once, and what became of it."""

    STATES = (
        ("waiting", "waiting"),
        ("handed", "handed over"),
        ("refused", "refused"),
        ("skipped", "not sent: unsubscribed meanwhile, or told before"),
    )

    notice = models.ForeignKey(Notice, on_delete=models.CASCADE, related_name="mails")
    holder = models.ForeignKey(Holder, on_delete=models.CASCADE, related_name="mails")
    state = models.CharField(max_length=7, choices=STATES, default="waiting")
    batch = models.CharField(max_length=64, blank=True, help_text="The batch that has it in hand.")
    taken_at = models.DateTimeField(null=True)
    settled_at = models.DateTimeField(null=True)
    tries = models.PositiveSmallIntegerField(default=0)
    try_at = models.DateTimeField(null=True, help_text="Not before; null: as soon as may be.")
    says = models.CharField(max_length=300, blank=True, help_text="What the mail server said.")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("notice", "holder"), name="catalogue_notice_once_per_holder"),
        )
        indexes = (models.Index(fields=("notice", "state", "batch"), name="catalogue_mail_by_state"),)

    def __str__(self) -> str:
        return f"{self.notice} to {self.holder}"
