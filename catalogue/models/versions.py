"""Frozen versions of a pattern and their editions."""

from django.conf import settings
from django.db import models

from catalogue.models.edition_choices import choices_words
from catalogue.models.patterns import Pattern


class Version(models.Model):
    """A numbered, frozen state of a pattern. Nothing of it ever changes once it is published."""

    pattern = models.ForeignKey(Pattern, on_delete=models.PROTECT, related_name="versions")
    major = models.PositiveIntegerField()
    minor = models.PositiveIntegerField()
    kind = models.CharField(max_length=7, choices=[("test", "test version"), ("release", "release")])
    state = models.CharField(
        max_length=9,
        choices=[
            ("waiting", "editions are being made"),
            ("failed", "an edition failed"),
            ("published", "published"),
        ],
        default="waiting",
    )
    record = models.TextField(help_text="Canonical JSON of all inputs and results.")
    sha256 = models.CharField(max_length=64)
    note = models.TextField(blank=True, help_text="What changed, in the designer's own words.")
    corrects = models.JSONField(default=list, help_text="Errata that are corrected once it is published.")
    by = models.ForeignKey(settings.AUTH_USER_MODEL, on_delete=models.SET_NULL, null=True, related_name="+")
    frozen_at = models.DateTimeField()
    published_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("major", "minor")
        constraints = (
            models.UniqueConstraint(
                fields=("pattern", "major", "minor"), name="catalogue_version_number_once"
            ),
        )

    def __str__(self) -> str:
        return f"{self.pattern} {self.number}"

    @property
    def number(self) -> str:
        """The number as printed: major.minor."""
        return f"{self.major}.{self.minor}"

    @property
    def order(self) -> tuple[int, int]:
        """What versions of a pattern are put in order by."""
        return self.major, self.minor


class Edition(models.Model):
    """One PDF of a version; without a file until it is made."""

    STATES = (("waiting", "being made"), ("failed", "failed"), ("made", "made"))

    version = models.ForeignKey(Version, on_delete=models.PROTECT, related_name="editions")
    choices = models.JSONField(help_text="hand, units, terms, sizes, print and paper.")
    code = models.CharField(max_length=200, help_text="The choices as one short text.")
    key = models.CharField(
        max_length=64, blank=True, help_text="Hash of record, choices, templates and library versions."
    )
    state = models.CharField(max_length=7, choices=STATES, default="waiting")
    says = models.TextField(blank=True, help_text="Why it failed, in a sentence.")
    file = models.FileField(upload_to="editions/", max_length=200, blank=True)
    sha256 = models.CharField(max_length=64, blank=True)
    size_bytes = models.PositiveIntegerField(default=0)
    pages = models.PositiveIntegerField(default=0)
    libraries = models.JSONField(default=dict, help_text="Versions of what it was made with.")

    class Meta:
        ordering = ("pk",)
        constraints = (models.UniqueConstraint(fields=("version", "code"), name="catalogue_edition_once"),)

    def __str__(self) -> str:
        return f"{self.version} {self.code}"

    @property
    def words(self) -> str:
        """Which edition it is, in words."""
        return choices_words(self.choices)
