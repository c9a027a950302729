"""The stored sheet: every part is a row that keeps its entry as typed, so that export is loss-free."""

from django.db import models

from grading.fields import TypedField


class Sheet(models.Model):
    """The numbers of one pattern; knows nothing of the pattern that points to it."""

    header = TypedField(default=dict, help_text="Single entries as typed: craft, home_units, home_terms …")
    keys = TypedField(default=list, help_text="The file's keys that belong to the sheet, in file order.")
    revision = models.PositiveIntegerField(
        default=1, help_text="Grows with every edit; a stale one is refused."
    )
    fingerprint = models.CharField(
        max_length=64, blank=True, help_text="Of the document that the stored results were worked out from."
    )
    graded_sizes = models.JSONField(
        default=list, help_text="The labels of the stored results, which have one figure for each."
    )

    def __str__(self) -> str:
        return f"Sheet {self.pk}"


class SheetPart(models.Model):
    """One entry of a sheet, in file order, with its content as typed."""

    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="%(class)ss")
    position = models.PositiveIntegerField()
    name = models.CharField(max_length=200)
    typed = TypedField(default=dict, help_text="The entry as the pattern file has it.")

    class Meta:
        abstract = True
        ordering = ("position",)
        constraints = (
            models.UniqueConstraint(
                fields=("sheet", "position"), name="%(app_label)s_%(class)s_once_per_place"
            ),
        )

    def __str__(self) -> str:
        return self.name


class SheetSize(SheetPart):
    """A size on offer; its name is the label."""


class BodyMeasurement(SheetPart):
    """A body measurement: one figure for each size, in the unit it was given in."""


class Fabric(SheetPart):
    """A stitch pattern worked with a yarn and a tool: gauge, multiple, weighed swatch."""


class Value(SheetPart):
    """A named line of the grading sheet: by formula, list or steps."""


class Check(SheetPart):
    """A statement that must hold in every size."""


class Shaping(SheetPart):
    """From one stitch count to another over a number of rows."""


class Spread(SheetPart):
    """Stitches changed evenly within one row."""


class Curve(SheetPart):
    """A neck, shoulder or armhole edge in steps."""


class PickUp(SheetPart):
    """Stitches taken up along an edge."""


class StripeSequence(SheetPart):
    """Colours by rows, repeated."""


class Option(SheetPart):
    """Something that the maker may choose."""


class ColourRole(SheetPart):
    """A yarn role of the pattern (A, B, C …): length per 100 g and put-up."""


class YarnSection(SheetPart):
    """A part of the garment whose yarn is counted."""


class Piece(SheetPart):
    """An outline in length formulas, drawn to scale."""


class Join(SheetPart):
    """Edges that are sewn, picked up or set in together."""


class StoredResult(models.Model):
    """What was worked out for one named part, with the fingerprint of what it was worked out from."""

    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="results")
    part = models.CharField(max_length=20, help_text="values, checks, shapings, spreads, curves or pick_ups.")
    name = models.CharField(max_length=80)
    figures = models.JSONField(help_text="As in the graded JSON: mm, g, m, counts; null where unknown.")
    fingerprint = models.CharField(max_length=64)

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("sheet", "part", "name"), name="grading_result_once_per_part"),
        )

    def __str__(self) -> str:
        return f"{self.part}.{self.name}"


class Finding(models.Model):
    """What a check, or the calculation by itself, has noticed."""

    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="findings")
    position = models.PositiveIntegerField()
    where = models.CharField(max_length=200)
    size = models.CharField(max_length=40, null=True)
    weight = models.CharField(max_length=4, choices=[("stop", "stop"), ("warn", "warn")])
    line = models.PositiveIntegerField(null=True)
    column = models.PositiveIntegerField(null=True)
    says = models.TextField()

    class Meta:
        ordering = ("position",)

    def __str__(self) -> str:
        return self.says


class YarnNeed(models.Model):
    """Yarn of one colour for one combination of options: one entry per size."""

    sheet = models.ForeignKey(Sheet, on_delete=models.CASCADE, related_name="yarn_needs")
    position = models.PositiveIntegerField()
    options = TypedField(help_text="One choice for each option, in the order of the options.")
    colour = models.CharField(max_length=80)
    weight_g = models.JSONField()
    length_m = models.JSONField()
    balls = models.JSONField()

    class Meta:
        ordering = ("position", "colour")

    def __str__(self) -> str:
        return f"{self.colour} {self.options}"


class SizeTable(models.Model):
    """A table of body measurements by size: a published standard or the studio's own."""

    name = models.CharField(max_length=80, unique=True)
    edition = models.CharField(max_length=80, blank=True)
    source = models.CharField(max_length=300, blank=True)
    caution = models.CharField(
        max_length=200, blank=True, help_text="Such as: from memory, compare before use."
    )
    is_own = models.BooleanField(default=True)
    unit = models.CharField(max_length=2, choices=[("cm", "cm"), ("in", "in")], default="cm")
    sizes = models.JSONField(default=list)
    measurements = TypedField(
        default=dict, help_text="{name: {label, values: [number, [low, high] or null]}}; ranges stay ranges."
    )

    def __str__(self) -> str:
        return self.name
