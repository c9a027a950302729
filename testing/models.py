"""The stored test calls."""

from django.conf import settings
from django.db import models

from catalogue.models import Erratum, Pattern, Version


class TestCall(models.Model):
    """A call for testers of one pattern, with its dates, places and agreement."""

    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="test_calls")
    version = models.ForeignKey(Version, on_delete=models.PROTECT, null=True, related_name="+")
    slug = models.SlugField(max_length=140, unique=True)
    state = models.CharField(
        max_length=6, choices=[("draft", "draft"), ("open", "open"), ("closed", "closed")], default="draft"
    )
    invitation = models.TextField(help_text="What will be made, in the studio's own words.")
    must_send = models.TextField(blank=True, help_text="What a tester must send in.")
    in_return = models.TextField(blank=True, help_text="What a tester gets.")
    rules = models.TextField(blank=True, help_text="Sharing, embargo, passing on.")
    measurements = models.JSONField(default=list, help_text="Names of the body measurements that are asked.")
    apply_by = models.DateField()
    starts_on = models.DateField()
    midway_on = models.DateField(null=True)
    finish_by = models.DateField()
    keep_months = models.PositiveIntegerField(
        default=12, help_text="Personal data is erased this long after the end."
    )
    created_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return f"{self.pattern}: {self.get_state_display()}"


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


class Application(models.Model):
    """Somebody who would like to make the garment; personal data, used for the call alone."""

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

    call = models.ForeignKey(TestCall, on_delete=models.CASCADE, related_name="applications")
    name = models.CharField(max_length=80)
    email = models.EmailField()
    body_mm = models.JSONField(default=dict, help_text="{measurement: mm}")
    typed_body = models.JSONField(default=dict, help_text="The same as typed.")
    sizes = models.JSONField(default=list, help_text="Labels in the order of wish.")
    yarn = models.CharField(max_length=200, blank=True)
    tool = models.CharField(max_length=80, blank=True)
    experience = models.PositiveSmallIntegerField(default=1, help_text="0 to 3")
    access_needs = models.TextField(blank=True)
    consent_text = models.TextField(help_text="What was agreed to, as it was shown.")
    consented_at = models.DateTimeField()
    state = models.CharField(max_length=9, choices=STATES, default="applied")
    created_at = models.DateTimeField(auto_now_add=True)

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
    offered_at = models.DateTimeField()
    accepted_at = models.DateTimeField(null=True)
    ended_at = models.DateTimeField(null=True, help_text="Withdrawn or replaced.")

    def __str__(self) -> str:
        return f"{self.application}: {self.size}"


class Result(models.Model):
    """What a tester sends in, in pieces; judged by the version it was worked from."""

    placement = models.OneToOneField(Placement, on_delete=models.CASCADE, related_name="result")
    version = models.ForeignKey(Version, on_delete=models.PROTECT, related_name="+")
    gauge = models.JSONField(default=dict, help_text="{fabric: {stitches, rows, over}} as typed.")
    measured = models.JSONField(default=dict, help_text="{measurement: literal} as typed.")
    yarn = models.JSONField(default=dict, help_text="{colour: literal} as typed.")
    hours = models.DecimalField(max_digits=6, decimal_places=1, null=True)
    note = models.TextField(blank=True)
    done_at = models.DateTimeField(null=True)
    changed_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return str(self.placement)


class ResultPhoto(models.Model):
    """A tester's picture, cleaned like every other."""

    result = models.ForeignKey(Result, on_delete=models.CASCADE, related_name="photos")
    alt = models.CharField(max_length=300)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    files = models.JSONField(default=list)
    added_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.alt


class Remark(models.Model):
    """A remark of a tester, anchored to a step of the version in hand."""

    placement = models.ForeignKey(Placement, on_delete=models.CASCADE, related_name="remarks")
    version = models.ForeignKey(Version, on_delete=models.PROTECT, related_name="+")
    place = models.CharField(max_length=200, help_text="sections[i].steps[j] of that version.")
    text = models.TextField()
    erratum = models.ForeignKey(Erratum, on_delete=models.SET_NULL, null=True, related_name="remarks")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.text[:60]
