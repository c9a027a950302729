"""What makers ask about a pattern: written down once, answered once."""

from django.db import models

from catalogue.models.errata import Erratum
from catalogue.models.patterns import Pattern
from catalogue.models.versions import Version


class MakerQuestion(models.Model):
    """One question of one maker. The same one asked again is a row of its own that leads to the first."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="maker_questions")
    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="maker_questions")
    place = models.CharField(max_length=200, blank=True, help_text="As errata name it; empty for the whole.")
    says = models.TextField(max_length=4_000, help_text="Without who asked.")
    name = models.CharField(
        max_length=120, blank=True, help_text="Who asked, where the studio wants to know."
    )
    email = models.EmailField(blank=True)
    asked_on = models.DateField()
    same_as = models.ForeignKey(
        "self", on_delete=models.SET_NULL, null=True, related_name="again", help_text="The first of its kind."
    )
    answer = models.TextField(blank=True, max_length=4_000)
    answered_at = models.DateTimeField(null=True)
    shown_as = models.TextField(blank=True, max_length=400, help_text="The question as visitors read it.")
    shown_answer = models.TextField(blank=True, max_length=1_200, help_text="The answer as visitors read it.")
    shown_at = models.DateTimeField(null=True, help_text="Since then it is on the pattern's page.")
    erratum = models.ForeignKey(Erratum, on_delete=models.SET_NULL, null=True, related_name="maker_questions")
    earlier_errata = models.ManyToManyField(
        Erratum, related_name="+", help_text="Those that it led to before: they may still quote it."
    )
    clearer_in = models.ForeignKey(
        Version,
        on_delete=models.SET_NULL,
        null=True,
        related_name="+",
        help_text="The version whose step is clearer.",
    )
    stored_at = models.DateTimeField(auto_now_add=True)

    class Meta:
        ordering = ("-asked_on", "-pk")

    def __str__(self) -> str:
        return self.says[:60]
