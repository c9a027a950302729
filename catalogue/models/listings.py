"""What the public list shows and is searched by: stored once at each release, so that no record is read."""

from django.db import models

from catalogue.models.patterns import Pattern
from catalogue.models.versions import Version


class Listing(models.Model):
    """The current release of a pattern as the list shows it."""

    pattern = models.OneToOneField(Pattern, on_delete=models.CASCADE, related_name="listing")
    version = models.ForeignKey(Version, on_delete=models.PROTECT, related_name="+")
    slug = models.SlugField(max_length=200, db_index=False)
    number = models.CharField(max_length=9, help_text="Of the current release.")
    title = models.CharField(max_length=200)
    order = models.CharField(max_length=220, db_index=True, help_text="Title without case, then the slug.")
    summary = models.TextField(blank=True)
    craft = models.CharField(max_length=20)
    first_size = models.CharField(max_length=40)
    last_size = models.CharField(max_length=40)
    weights = models.CharField(
        max_length=200, blank=True, help_text="Weight categories of its yarns, in words."
    )

    photo_url = models.CharField(max_length=200, blank=True, help_text="Smallest file of its first photo.")
    photo_width_px = models.PositiveIntegerField(default=0)
    photo_height_px = models.PositiveIntegerField(default=0)

    class Meta:
        ordering = ("order",)

    def __str__(self) -> str:
        return self.title


class ListingMark(models.Model):
    """One thing that a listing is found by, such as “size M” or “word jacket”."""

    listing = models.ForeignKey(Listing, on_delete=models.CASCADE, related_name="marks")
    mark = models.CharField(max_length=60)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("mark", "listing"), name="catalogue_mark_once_per_listing"),
        )
        # Finds marks by their beginning where the database sorts by the rules of a language.
        indexes = (
            models.Index(fields=("mark",), opclasses=("varchar_pattern_ops",), name="catalogue_mark_start"),
        )

    def __str__(self) -> str:
        return self.mark


class ListingChoice(models.Model):
    """What a filter of the list offers."""

    kind = models.CharField(max_length=10)
    label = models.CharField(max_length=50)
    position = models.PositiveIntegerField()

    class Meta:
        ordering = ("kind", "position")
        constraints = (models.UniqueConstraint(fields=("kind", "label"), name="catalogue_choice_once"),)

    def __str__(self) -> str:
        return f"{self.kind} {self.label}"
