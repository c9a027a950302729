"""Known mistakes and their corrections."""

from django.db import models

from catalogue.models.patterns import Pattern
from catalogue.models.people import Person
from catalogue.models.versions import Version


class Erratum(models.Model):
    """A known mistake: where, in which sizes, what it says and should say, since when, corrected in which."""

    GRAVITIES = (
        ("cosmetic", "cosmetic"),
        ("misleading", "misleading"),
        ("wrong", "wrong"),
        ("blocking", "can't be made"),
    )
    STATES = (
        ("reported", "reported"),
        ("confirmed", "confirmed"),
        ("dismissed", "not a mistake"),
        ("corrected", "corrected"),
        ("merged", "duplicate"),
    )
    SOURCES = (
        ("remark", "a tester's remark"),
        ("result", "a result of a test"),
        ("letter", "a maker's letter"),
        ("finding", "a finding or check"),
        ("studio", "the studio itself"),
    )

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="errata")
    kind = models.CharField(
        max_length=8, choices=[("mistake", "mistake"), ("wording", "clearer wording")], default="mistake"
    )
    place = models.CharField(
        max_length=200, help_text="values.NAME, sections[i].steps[j], materials, gauge, schematic or photo."
    )
    sizes = models.JSONField(default=list, help_text="Labels; empty for all sizes.")
    says = models.TextField(blank=True, help_text="What it says.")
    should_say = models.TextField(blank=True)
    why = models.TextField(blank=True)
    gravity = models.CharField(max_length=10, choices=GRAVITIES, default="wrong")
    state = models.CharField(max_length=9, choices=STATES, default="reported")
    source = models.CharField(max_length=8, choices=SOURCES, default="studio")
    found_by = models.CharField(
        max_length=120, blank=True, help_text="A tester's remark, a buyer's letter, a check …"
    )
    found_in = models.ForeignKey(Version, on_delete=models.PROTECT, null=True, related_name="errata_found")
    corrected_in = models.ForeignKey(
        Version, on_delete=models.PROTECT, null=True, related_name="errata_corrected"
    )
    merged_into = models.ForeignKey(
        "self",
        on_delete=models.SET_NULL,
        null=True,
        related_name="merged",
        help_text="The one it was merged into.",
    )
    due_on = models.DateField(null=True, help_text="By when it is to be settled.")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)
        verbose_name_plural = "errata"

    def __str__(self) -> str:
        return f"{self.pattern}: {self.place}"

    @property
    def is_missing_step(self) -> bool:
        """Whether a step is missing altogether at its place, which is then one between two steps."""
        return self.place.endswith((".after", ".start"))


class ErratumSighting(models.Model):
    """Somebody else who met the same mistake."""

    erratum = models.ForeignKey(Erratum, on_delete=models.CASCADE, related_name="sightings")
    version = models.ForeignKey(Version, on_delete=models.PROTECT, null=True, related_name="+")
    found_by = models.CharField(max_length=120)
    note = models.TextField(blank=True)
    seen_at = models.DateTimeField(auto_now_add=True)

    def __str__(self) -> str:
        return self.found_by


class ErratumEvent(models.Model):
    """One thing that was done to an erratum, in a sentence."""

    erratum = models.ForeignKey(Erratum, on_delete=models.CASCADE, related_name="events")
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    says = models.CharField(max_length=500)
    at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.says


class Guard(models.Model):
    """A check that must hold in every version from the one that corrects an erratum."""

    erratum = models.ForeignKey(Erratum, on_delete=models.CASCADE, related_name="guards")
    holds = models.CharField(max_length=500, help_text="A statement of the sheet, as typed.")
    says = models.CharField(max_length=200, help_text="What is wrong where it is not true.")
    made_at = models.DateTimeField(auto_now_add=True)
    broken_since = models.DateTimeField(null=True, editable=False, help_text="Since when.")

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.holds
