"""Frozen versions of a pattern and their editions."""

from django.conf import settings
from django.db import models

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


class Edition(models.Model):
    """One PDF of a version."""

    version = models.ForeignKey(Version, on_delete=models.PROTECT, related_name="editions")
    choices = models.JSONField(help_text="hand, units, terms, sizes, print and paper.")
    key = models.CharField(
        max_length=64, help_text="Hash of record, choices, templates and library versions."
    )
    file = models.FileField(upload_to="editions/")
    sha256 = models.CharField(max_length=64)
    size_bytes = models.PositiveIntegerField()
    pages = models.PositiveIntegerField()
    libraries = models.JSONField(default=dict, help_text="Versions of what it was made with.")

    class Meta:
        constraints = (models.UniqueConstraint(fields=("version", "key"), name="catalogue_edition_once"),)

    def __str__(self) -> str:
        return f"{self.version} {self.choices}"
