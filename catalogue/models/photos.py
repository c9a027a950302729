"""Photos of a pattern."""

from django.db import models

from catalogue.models.patterns import Pattern


class Photo(models.Model):
    """A picture, turned upright, stripped and stored in a few widths."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="photos")
    position = models.PositiveIntegerField(default=0)
    alt = models.CharField(max_length=300, help_text="What the picture shows, for those who can't see it.")
    caption = models.CharField(max_length=300, blank=True)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    digest = models.CharField(max_length=64, help_text="SHA-256 of the largest JPEG.")
    files = models.JSONField(default=list, help_text="[{format, width_px, height_px, name}] in the storage.")
    added_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("position", "pk")

    def __str__(self) -> str:
        return self.alt
