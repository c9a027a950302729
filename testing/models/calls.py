"""Calls and how many testers each size needs."""

import datetime as dt
import secrets

from django.db import models
from django.utils import timezone
from django.utils.formats import date_format

from catalogue.models import Pattern, Version


def draw_seed() -> int:
    """A fresh seed for the lots of a call."""
    return secrets.randbelow(2**31)


class TestCall(models.Model):
    """A call for testers of one pattern, with its dates, places and agreement."""

    STATES = (
        ("draft", "not open yet"),
        ("open", "open"),
        ("closed", "applications closed"),
        ("ended", "ended"),
    )
    YARN_FROM = (
        ("own", "Testers bring their own"),
        ("given", "The studio gives it"),
        ("part", "The studio gives part of it"),
    )

    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="test_calls")
    version = models.ForeignKey(
        Version,
        on_delete=models.PROTECT,
        null=True,
        related_name="+",
        help_text="The test version handed out now; each result records its own.",
    )
    slug = models.SlugField(max_length=140, unique=True)
    state = models.CharField(max_length=6, choices=STATES, default="draft")
    invitation = models.TextField(help_text="What will be made, in the studio's own words.")
    must_send = models.TextField(blank=True, help_text="What a tester must send in.")
    in_return = models.TextField(blank=True, help_text="What a tester gets.")
    rules = models.TextField(blank=True, help_text="Sharing, embargo, passing on, the designer's reply time.")
    yarn_from = models.CharField(
        max_length=5, choices=YARN_FROM, blank=True, default="", help_text="Empty: not said."
    )
    yarn_note = models.CharField(max_length=200, blank=True, default="", help_text="What else of the yarn.")
    hours_from = models.PositiveSmallIntegerField(null=True, help_text="Hours to reckon with, at least.")
    hours_to = models.PositiveSmallIntegerField(null=True, help_text="And at most.")
    measurements = models.JSONField(default=list, help_text="Names of the body measurements that are asked.")
    apply_by = models.DateField()
    starts_on = models.DateField()
    midway_on = models.DateField()
    finish_by = models.DateField()
    grace_days = models.PositiveSmallIntegerField(default=3, help_text="Late only after this many days.")
    offer_days = models.PositiveSmallIntegerField(default=5, help_text="An offer lapses after this long.")
    keep_months = models.PositiveSmallIntegerField(
        default=12, help_text="Personal data is erased this long after the end."
    )
    erase_on = models.DateField(help_text="The day told to applicants; later dates of the call leave it.")
    created_at = models.DateTimeField(auto_now_add=True)
    closed_at = models.DateTimeField(null=True, help_text="Since then nobody can apply.")
    ended_at = models.DateTimeField(null=True, help_text="Everything promised was given.")
    seed = models.PositiveBigIntegerField(default=draw_seed, help_text="Draws between equal placings.")

    names_testers = True  # not stored: false where an editor of this pattern alone looks at it

    class Meta:
        ordering = ("-pk",)

    def __str__(self) -> str:
        return f"{self.pattern}: {self.get_state_display()}"

    @property
    def standing(self) -> str:
        """What its state shuts, and what still can be done; once its last day is past, what to do next."""
        if self.state in ("open", "closed") and timezone.localdate() > self.finish_by:
            first = "Close applications first. " if self.state == "open" else ""
            return (
                f"The last day, {date_format(self.finish_by, 'j F Y')}, is past. {first}"
                "Remind testers who are late, or give them more time. Then look at the results and end the "
                "call."
            )
        return {
            "draft": "Nobody sees this call yet.",
            "open": "People can apply until the day below.",
            "closed": "Nobody can apply any more. You can still give places, and testers go on.",
            "ended": "Nobody gets a place any more. Testers can still send and read what they sent.",
        }[self.state]

    @property
    def yarn_in_words(self) -> str:
        """Who brings the yarn, with what the studio adds; empty where neither is said."""
        return ". ".join(filter(None, (self.get_yarn_from_display(), self.yarn_note)))

    @property
    def hours_in_words(self) -> str:
        """How long it may take, as “38 to 60”; empty where that is not said."""
        known = [str(hours) for hours in (self.hours_from, self.hours_to) if hours is not None]
        if len(known) == 1:
            return f"at least {known[0]}" if self.hours_to is None else f"up to {known[0]}"
        return " to ".join(dict.fromkeys(known))

    @property
    def late_after(self) -> dt.date:
        """The last day on which results are not late."""
        return self.finish_by + dt.timedelta(days=self.grace_days)


class PlaceQuota(models.Model):
    """How many testers a size needs and takes."""

    call = models.ForeignKey(TestCall, on_delete=models.CASCADE, related_name="quotas")
    position = models.PositiveIntegerField()
    size = models.CharField(max_length=40)
    at_least = models.PositiveIntegerField(default=1)
    at_most = models.PositiveIntegerField(default=2)

    class Meta:
        ordering = ("position",)
        constraints = (models.UniqueConstraint(fields=("call", "size"), name="testing_quota_once_per_size"),)

    def __str__(self) -> str:
        return self.size
