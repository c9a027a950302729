"""The studio's special stitches: how each is worked, kept once and taken over into patterns."""

from django.db import models

from catalogue.models.helps import CODE_LENGTH, CRAFTS, new_code
from catalogue.models.people import Person
from catalogue.models.photos import ListedPicture

STITCH_CRAFTS = {key: word for key, word in CRAFTS.items() if key}
STITCH_TERMS = {"US": "US terms", "UK": "UK terms"}


class SpecialStitch(models.Model):
    """A special stitch of the studio; its words stand in its states, of which the newest has its number."""

    code = models.CharField(max_length=CODE_LENGTH, unique=True, default=new_code, editable=False)
    number = models.PositiveIntegerField(default=0, help_text="Of its newest state.")

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.code


class StitchState(models.Model):
    """A special stitch as it was once saved: never changed, so that patterns can keep it."""

    stitch = models.ForeignKey(SpecialStitch, on_delete=models.CASCADE, related_name="states")
    number = models.PositiveIntegerField()
    label = models.CharField(max_length=120)
    short = models.CharField(max_length=40)
    craft = models.CharField(max_length=10, choices=list(STITCH_CRAFTS.items()))
    terms = models.CharField(max_length=2, choices=list(STITCH_TERMS.items()))
    method = models.TextField(max_length=4000)
    multiple = models.PositiveIntegerField(default=1)
    plus = models.PositiveIntegerField(default=0)
    rows = models.JSONField(default=list, help_text="Rows in words of its chart; none, no chart.")
    saved_at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")

    class Meta:
        ordering = ("stitch", "-number")
        constraints = (
            models.UniqueConstraint(fields=("stitch", "number"), name="catalogue_stitch_state_once"),
        )

    def __str__(self) -> str:
        return self.label


class StitchPicture(ListedPicture):
    """One picture of a state of a special stitch."""

    state = models.ForeignKey(StitchState, on_delete=models.CASCADE, related_name="pictures")
