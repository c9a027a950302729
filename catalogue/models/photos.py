"""Photos of a pattern, and those that its versions were frozen with."""

from typing import Any

from django.db import models
from django.urls import reverse

from catalogue.models.patterns import Pattern
from catalogue.models.versions import Version


class StoredPicture:
    """What a row that keeps the files of a picture offers to a page."""

    files: Any

    @property
    def jpeg_set(self) -> str:
        """The JPEG files with their widths, as a page offers them to a browser."""
        return self._offered("jpg")

    @property
    def webp_set(self) -> str:
        """The WebP files with their widths."""
        return self._offered("webp")

    @property
    def largest_url(self) -> str:
        """The address of the largest JPEG."""
        return _address([one for one in self.files if one["format"] == "jpg"][-1])

    @property
    def smallest_url(self) -> str:
        """The address of the smallest JPEG."""
        return _address(next(one for one in self.files if one["format"] == "jpg"))

    def _offered(self, form: str) -> str:
        """Addresses and widths of the files of one format."""
        return ", ".join(f"{_address(one)} {one['width_px']}w" for one in self.files if one["format"] == form)


class ListedPicture(StoredPicture, models.Model):
    """A picture in its place of a list, with its words and its files."""

    position = models.PositiveIntegerField(default=0)
    alt = models.CharField(max_length=300, help_text="What the picture shows, for those who can't see it.")
    caption = models.CharField(max_length=300, blank=True)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    digest = models.CharField(max_length=64, db_index=True, help_text="SHA-256 of the largest JPEG.")
    files = models.JSONField(default=list, help_text="[{format, width_px, height_px, name}] in the storage.")

    class Meta:
        abstract = True
        ordering = ("position", "pk")

    def __str__(self) -> str:
        return self.alt


class Photo(ListedPicture):
    """A picture, turned upright, stripped and stored in a few widths."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="photos")
    digest = models.CharField(max_length=64, help_text="SHA-256 of the largest JPEG.")
    added_at = models.DateTimeField(auto_now_add=True)


class FrozenPhoto(models.Model):
    """The files of a photo that a version was frozen with: they stay; a release shows them to all."""

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="frozen_photos")
    digest = models.CharField(max_length=64, db_index=True)
    files = models.JSONField(default=list)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("version", "digest"), name="catalogue_frozen_photo_once"),
        )

    def __str__(self) -> str:
        return f"{self.digest} of {self.version}"


def _address(stored: dict[str, Any]) -> str:
    """The address that a file is served under: through a view that checks who may see it."""
    return reverse("photo_file", args=[stored["name"].rpartition("/")[2]])
