"""What a pattern's practice piece is to teach."""

from django.db import models

from catalogue.models.patterns import Pattern


class PracticeChoice(models.Model):
    """The techniques that a designer has ticked for the practice piece of a pattern."""

    pattern = models.OneToOneField(Pattern, on_delete=models.CASCADE, related_name="practice")
    techniques = models.JSONField(default=list, help_text="Their keys, such as curve:front_neck.")
    in_pdf = models.BooleanField(default=False, help_text="Whether it is at the end of the PDF.")
    changed_at = models.DateTimeField(auto_now=True)

    def __str__(self) -> str:
        return f"Practice piece of {self.pattern}"
