"""Yarns, their shades, which of them a pattern uses, and the lengths of tools on sale."""

from django.db import models
from django.utils import timezone

from catalogue.models.patterns import Pattern
from grading.core.yarn.lengths import weights_of_length


class Yarn(models.Model):
    """A yarn as it is sold."""

    name = models.CharField(max_length=120, unique=True)
    fibre = models.CharField(max_length=120, blank=True)
    length_per_100g_m = models.DecimalField(max_digits=9, decimal_places=3)
    put_up_g = models.DecimalField(max_digits=9, decimal_places=3)
    ended_on = models.DateField(null=True, help_text="The day since when it is discontinued.")
    substitute = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, related_name="+", help_text="What to take in its place."
    )

    def __str__(self) -> str:
        return self.name

    @property
    def is_ended(self) -> bool:
        """Whether it is not made any more today; one that ends later is still made."""
        return self.ended_on is not None and self.ended_on <= timezone.localdate()

    @property
    def weight_words(self) -> str:
        """Every weight category that it fits, in words."""
        return " or ".join(weight.name for weight in weights_of_length(float(self.length_per_100g_m)))


class YarnShade(models.Model):
    """A colour of a yarn, as sRGB for the screen."""

    yarn = models.ForeignKey(Yarn, on_delete=models.CASCADE, related_name="shades")
    name = models.CharField(max_length=80)
    srgb = models.CharField(max_length=7, help_text="#rrggbb")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("yarn", "name"), name="catalogue_shade_once_per_yarn"),
        )

    def __str__(self) -> str:
        return f"{self.yarn} {self.name}"


class ToolLengthList(models.Model):
    """Lengths of one kind of tool as the studio's makers can buy them: pairs of cm and inches."""

    kind = models.CharField(max_length=20, unique=True)
    lengths = models.JSONField()

    def __str__(self) -> str:
        return self.kind


class PatternYarn(models.Model):
    """Which yarn and shade plays a colour role of a pattern."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="yarns")
    colour = models.CharField(max_length=80)
    yarn = models.ForeignKey(Yarn, on_delete=models.PROTECT, related_name="+")
    shade = models.ForeignKey(YarnShade, on_delete=models.PROTECT, null=True, related_name="+")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("pattern", "colour"), name="catalogue_yarn_once_per_colour"),
        )

    def __str__(self) -> str:
        return f"{self.pattern} {self.colour}"
