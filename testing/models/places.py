"""Applications and the places given to them: personal data, used for the call alone."""

from django.conf import settings
from django.db import models

from catalogue.models.link_tokens import new_token
from testing.models.calls import TestCall


class Application(models.Model):
    """Somebody who would like to make the garment."""

    STATES = (
        ("applied", "applied"),
        ("offered", "offered a place"),
        ("accepted", "accepted"),
        ("declined", "declined"),
        ("waiting", "waiting"),
        ("making", "making"),
        ("finished", "finished"),
        ("withdrawn", "withdrawn"),
        ("replaced", "replaced"),
    )
    EXPERIENCE = ((0, "First garment"), (1, "A few garments"), (2, "Many garments"), (3, "Tested before"))
    FREE = ("applied", "waiting", "declined", "withdrawn")
    PROPOSED = ("applied", "waiting")

    call = models.ForeignKey(TestCall, on_delete=models.CASCADE, related_name="applications")
    name = models.CharField(max_length=80)
    email = models.EmailField(help_text="In lower case.")
    units = models.CharField(max_length=2, choices=[("cm", "centimetres"), ("in", "inches")], default="cm")
    body_mm = models.JSONField(default=dict, help_text="{measurement: mm}")
    typed_body = models.JSONField(default=dict, help_text="The same as typed.")
    sizes = models.JSONField(default=list, help_text="Labels in the order of wish.")
    yarn = models.CharField(max_length=200, blank=True)
    tool = models.CharField(max_length=80, blank=True)
    experience = models.PositiveSmallIntegerField(choices=EXPERIENCE, default=1)
    access_needs = models.TextField(blank=True)
    consent_text = models.TextField(help_text="What was agreed to, as it was shown.")
    consented_at = models.DateTimeField()
    may_ask_again = models.BooleanField(default=False, help_text="Agreed to be asked for later calls.")
    state = models.CharField(max_length=9, choices=STATES, default="applied")
    token = models.CharField(
        max_length=254,
        default=new_token,
        help_text="Part of the applicant's links; the address where older e-mails have links with that.",
    )
    created_at = models.DateTimeField(auto_now_add=True)
    erase_asked_at = models.DateTimeField(
        null=True, help_text="Asked to be erased then, which could not be done yet."
    )

    class Meta:
        ordering = ("created_at", "pk")
        constraints = (
            models.UniqueConstraint(fields=("call", "email"), name="testing_one_application_each"),
        )

    def __str__(self) -> str:
        return self.name


class Placement(models.Model):
    """A place in a call: who makes which size."""

    call = models.ForeignKey(TestCall, on_delete=models.PROTECT, related_name="placements")
    application = models.OneToOneField(Application, on_delete=models.CASCADE, related_name="placement")
    person = models.ForeignKey(
        settings.AUTH_USER_MODEL, on_delete=models.PROTECT, null=True, related_name="placements"
    )
    size = models.CharField(max_length=40)
    is_pinned = models.BooleanField(default=False, help_text="Given by hand; a proposal keeps it.")
    reason = models.CharField(max_length=300, blank=True, help_text="Why this size.")
    options = models.JSONField(
        default=dict, blank=True, help_text="Choice by option, given when the place was taken."
    )
    offered_at = models.DateTimeField()
    answer_by = models.DateTimeField(help_text="The offer lapses then.")
    accepted_at = models.DateTimeField(null=True)
    agreement = models.TextField(blank=True, help_text="What was accepted, as it was shown.")
    finish_by = models.DateField(null=True, help_text="The tester's own date, where one was given more time.")
    asks_until = models.DateField(null=True, help_text="The later day that the tester asks for.")
    asks_because = models.CharField(max_length=300, blank=True)
    ended_at = models.DateTimeField(null=True, help_text="Declined, lapsed, withdrawn or replaced.")
    given_at = models.DateTimeField(null=True, help_text="When the tester was given what was promised.")

    def __str__(self) -> str:
        return f"{self.application}: {self.size}"
