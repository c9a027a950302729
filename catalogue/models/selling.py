"""What a seller keeps of a pattern: facts for the catalogue, shops, rights, dates, yarn that was given."""

from collections.abc import Iterable

from django.db import models

from catalogue.models.patterns import Pattern
from catalogue.models.yarns import Yarn

SEASONS = ("spring", "summer", "autumn", "winter")
LINK_STATES = (("", "not checked yet"), ("works", "works"), ("moved", "has moved"), ("dead", "does not work"))


class SellingFacts(models.Model):
    """What the catalogue and shops say of a pattern beside its own facts."""

    pattern = models.OneToOneField(Pattern, on_delete=models.CASCADE, related_name="selling_facts")
    techniques = models.JSONField(default=list, help_text="What a maker works or learns, such as “raglan”.")
    seasons = models.JSONField(
        default=list, help_text="Of spring, summer, autumn, winter; none for all year."
    )
    tags = models.JSONField(default=list, help_text="Free words that the catalogue is filtered by.")
    opening = models.TextField(
        blank=True, max_length=2_000, help_text="How the text for shops begins; empty: the summary."
    )
    finished_use = models.TextField(
        blank=True, max_length=1_000, help_text="What makers may do with what they made; printed in the PDF."
    )

    class Meta:
        verbose_name_plural = "selling facts"

    def __str__(self) -> str:
        return f"Selling {self.pattern}"


class ShopLink(models.Model):
    """Where a pattern can be bought: shown to visitors; the PDF stays with those who may have it."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="shop_links")
    label = models.CharField(max_length=60)
    address = models.CharField(max_length=500)
    state = models.CharField(max_length=5, blank=True, choices=LINK_STATES)
    answer = models.CharField(max_length=300, blank=True, help_text="What came of the last check.")
    checked_at = models.DateTimeField(null=True)

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.label


class RightsNote(models.Model):
    """Who else has rights in a pattern, such as a yarn maker or a magazine, and until when."""

    KINDS = (("yarn", "yarn maker"), ("magazine", "magazine"), ("book", "book"), ("other", "other"))

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="rights_notes")
    kind = models.CharField(max_length=8, choices=KINDS, default="magazine")
    whose = models.CharField(max_length=120)
    says = models.CharField(max_length=300, blank=True, help_text="Printed before the dates.")
    since = models.DateField(null=True, blank=True)
    back_on = models.DateField(null=True, blank=True, help_text="When the rights come back to the studio.")

    class Meta:
        ordering = ("pk",)

    def __str__(self) -> str:
        return self.whose


class TargetDate(models.Model):
    """A day by which something about a pattern is to be done."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="target_dates")
    what = models.CharField(max_length=80)
    due_on = models.DateField()
    done_on = models.DateField(null=True)

    class Meta:
        ordering = ("due_on", "pk")
        indexes = (models.Index(fields=("done_on", "due_on"), name="catalogue_target_due"),)

    def __str__(self) -> str:
        return self.what


class YarnSupport(models.Model):
    """Yarn or other help that somebody gave for a pattern. Who gave it may be a person: personal data."""

    giver = models.CharField(max_length=120, blank=True, help_text="Empty once it was erased.")
    email = models.EmailField(blank=True)
    given = models.CharField(max_length=300)
    got_on = models.DateField(null=True, blank=True)
    pattern = models.ForeignKey(
        Pattern, on_delete=models.SET_NULL, null=True, blank=True, related_name="yarn_support"
    )
    yarn = models.ForeignKey(Yarn, on_delete=models.SET_NULL, null=True, blank=True, related_name="support")
    note = models.TextField(blank=True, max_length=1_000)
    created_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-pk",)
        verbose_name_plural = "yarn support"

    def __str__(self) -> str:
        return f"{self.given} from {self.giver or 'somebody'}"


class SupportPromise(models.Model):
    """What the studio promised in return for yarn, and whether it is done."""

    support = models.ForeignKey(YarnSupport, on_delete=models.CASCADE, related_name="promises")
    says = models.CharField(max_length=200)
    due_on = models.DateField(null=True, blank=True)
    done_on = models.DateField(null=True)

    class Meta:
        ordering = ("due_on", "pk")

    def __str__(self) -> str:
        return self.says


def open_shops(pattern: Pattern, links: Iterable[ShopLink] | None = None) -> list[ShopLink]:
    """Where a pattern can be bought today; of a retired one nowhere."""
    if pattern.retired_at:
        return []
    known = ShopLink.objects.filter(pattern=pattern) if links is None else links
    return [one for one in known if one.state != "dead"]
