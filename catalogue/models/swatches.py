"""The swatch diary of a pattern: dated swatches of its fabrics, before and after blocking, with a picture."""

from django.db import models

from catalogue.models.patterns import Pattern
from catalogue.models.photos import StoredPicture


class Swatch(StoredPicture, models.Model):
    """A swatch: what was counted over 10 cm or 4 in, and what the square weighs."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="swatches")
    fabric = models.CharField(max_length=80, help_text="The name of the fabric in the sheet.")
    made_on = models.DateField()
    over = models.CharField(max_length=5, help_text="What was counted over: 10 cm or 4 in.")
    before_stitches = models.FloatField(null=True, blank=True)
    before_rows = models.FloatField(null=True, blank=True)
    after_stitches = models.FloatField()
    after_rows = models.FloatField()
    weight_g = models.FloatField(null=True, blank=True, help_text="Of the square that was counted.")
    note = models.TextField(max_length=1000, blank=True)
    alt = models.CharField(max_length=300, blank=True)
    width_px = models.PositiveIntegerField(default=0)
    height_px = models.PositiveIntegerField(default=0)
    digest = models.CharField(max_length=64, blank=True, db_index=True)
    files = models.JSONField(default=list, blank=True)

    class Meta:
        ordering = ("-made_on", "-pk")
        verbose_name_plural = "swatches"

    def __str__(self) -> str:
        return f"Swatch of {self.fabric}, {self.made_on}"

    @property
    def caption(self) -> str:
        """Pictures of swatches have none."""
        return ""
