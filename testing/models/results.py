"""What testers send in, in pieces."""

from django.db import models

from catalogue.models import Erratum, Help, Version
from testing.models.calls import TestCall
from testing.models.places import Placement


class Result(models.Model):
    """What one tester sends in; judged by the version it was worked from.

    It outlives its placement: when a tester's data is erased, size, gauge and the garment's own
    figures stay without a name.
    """

    call = models.ForeignKey(TestCall, on_delete=models.PROTECT, related_name="results")
    placement = models.OneToOneField(Placement, on_delete=models.SET_NULL, null=True, related_name="result")
    version = models.ForeignKey(Version, on_delete=models.PROTECT, related_name="+")
    size = models.CharField(max_length=40)
    done_at = models.DateTimeField(null=True)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return f"{self.version} {self.size}"


class Entry(models.Model):
    """One thing sent in, saved on its own so that two at once never overwrite each other."""

    PARTS = (
        ("gauge", "gauge"),
        ("measured", "finished measurement"),
        ("yarn", "yarn used"),
        ("hours", "hours"),
        ("note", "note"),
        ("garment_gauge", "gauge in the finished garment"),
        ("worked", "count changed"),
        ("altered", "measurement altered on purpose"),
        ("option", "option chosen"),
        ("metres", "metres in 100 g of the tester's own yarn"),
        ("fit", "how it fits"),
        ("tool", "hook or needle"),
        ("photo_use", "use of photos agreed to"),
        ("counted", "stitches after a row"),
    )
    # The figures of the garment: they stay without a name, and the assessment rests on them.
    ANONYMOUS = (
        "gauge",
        "measured",
        "yarn",
        "hours",
        "garment_gauge",
        "worked",
        "altered",
        "option",
        "metres",
        "counted",
    )

    result = models.ForeignKey(Result, on_delete=models.CASCADE, related_name="entries")
    part = models.CharField(max_length=20, choices=PARTS)
    name = models.CharField(
        max_length=80, blank=True, help_text="The fabric, measurement, colour, count, option, area or use."
    )
    typed = models.JSONField(default=dict, help_text="As typed, with the unit in use.")
    meant = models.JSONField(
        default=dict, help_text="What it means: mm, g, m, stitches and rows per mm, hours."
    )
    is_confirmed = models.BooleanField(default=False, help_text="The tester was asked and says it is right.")
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("pk",)
        verbose_name_plural = "entries"
        constraints = (
            models.UniqueConstraint(fields=("result", "part", "name"), name="testing_entry_once_each"),
        )

    def __str__(self) -> str:
        return f"{self.part} {self.name}"


class EarlierEntry(models.Model):
    """What an entry said before it was replaced or taken back: nothing that was sent is lost."""

    result = models.ForeignKey(Result, on_delete=models.CASCADE, related_name="earlier_entries")
    part = models.CharField(max_length=20, choices=Entry.PARTS)
    name = models.CharField(max_length=80, blank=True)
    typed = models.JSONField(default=dict)
    meant = models.JSONField(default=dict)
    sent_at = models.DateTimeField()
    replaced_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("sent_at", "pk")
        verbose_name_plural = "earlier entries"

    def __str__(self) -> str:
        return f"{self.part} {self.name}"


class ResultPhoto(models.Model):
    """A tester's picture, cleaned like every other."""

    result = models.ForeignKey(Result, on_delete=models.CASCADE, related_name="photos")
    alt = models.CharField(max_length=300)
    width_px = models.PositiveIntegerField()
    height_px = models.PositiveIntegerField()
    digest = models.CharField(max_length=64)
    files = models.JSONField(default=list)
    upload_key = models.CharField(
        max_length=40, blank=True, default="", help_text="Under which a phone sent it in pieces."
    )
    added_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.alt


class PhotoPiece(models.Model):
    """A piece of a photo that is still being sent; all go once the photo is whole."""

    placement = models.ForeignKey(Placement, on_delete=models.CASCADE, related_name="photo_pieces")
    key = models.CharField(max_length=40, help_text="The phone's own name for the photo.")
    at = models.PositiveIntegerField(help_text="Where in the photo the piece begins, bytes.")
    size_bytes = models.PositiveIntegerField()
    content = models.BinaryField()
    sent_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("at",)
        constraints = (
            models.UniqueConstraint(fields=("placement", "key", "at"), name="testing_piece_once_each"),
        )

    def __str__(self) -> str:
        return f"{self.key} from {self.at}"


class Remark(models.Model):
    """A remark of a tester, anchored to a step of the version in hand."""

    result = models.ForeignKey(Result, on_delete=models.CASCADE, related_name="remarks")
    place = models.CharField(max_length=200, help_text="sections[i].steps[j] of the result's version.")
    text = models.TextField()
    kind = models.CharField(max_length=10, blank=True, choices=(("count", "a count that does not come out"),))
    help = models.ForeignKey(
        Help, on_delete=models.SET_NULL, null=True, related_name="+", help_text="At which they were stuck."
    )
    erratum = models.ForeignKey(Erratum, on_delete=models.SET_NULL, null=True, related_name="remarks")
    settled_at = models.DateTimeField(null=True, help_text="When the studio said that it needs no erratum.")
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.text[:60]

    @property
    def is_dealt_with(self) -> bool:
        """Whether an erratum was made of it, or the studio said that it needs none."""
        return self.erratum_id is not None or self.settled_at is not None
