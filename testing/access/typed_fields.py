"""Form fields that keep what was typed beside what it means."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from django import forms
from django.core.exceptions import ValidationError

from grading.entries.single_lines import LineField
from testing.access.typed import TypedError


@dataclass(frozen=True)
class TypedMeasure:
    """An entry as typed, and the number it means."""

    typed: str
    number: float


class MeasureField(LineField):
    """One number with or without its unit, read by a given reader.

    `keyboard` is what a phone brings up: "decimal" or "numeric" where no fraction and no unit is typed.
    """

    def __init__(self, *, read: Callable[[str], float], keyboard: str = "text", **options: Any) -> None:
        self.read = read
        options.setdefault("max_length", 40)
        options.setdefault("widget", forms.TextInput(attrs={"inputmode": keyboard, "autocomplete": "off"}))
        super().__init__(**options)

    def clean(self, value: Any) -> Any:
        """Return a Reading, or None when nothing was typed."""
        typed = super().clean(value)
        if not typed:
            return None
        try:
            return TypedMeasure(typed, self.read(typed))
        except TypedError as error:
            raise ValidationError(error.says)


def day_field(label: str, help_text: str = "") -> forms.DateField:
    """A date with the browser's own calendar."""
    return forms.DateField(
        label=label, help_text=help_text, widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
