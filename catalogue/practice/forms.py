"""The ticks of a practice piece."""

from collections.abc import Sequence
from typing import Any, cast

from django import forms

from grading.core.practice.techniques import FOUNDATION, Technique


class PracticeForm(forms.Form):
    """What a practice piece is to teach, of what the pattern has; and whether it is printed."""

    techniques = forms.MultipleChoiceField(
        label="It teaches",
        required=False,
        widget=forms.CheckboxSelectMultiple({"class": "form-check-input"}),
        error_messages={"invalid_choice": "The pattern has no “%(value)s” now. Tick again what it has."},
    )
    in_pdf = forms.BooleanField(
        label="Print it at the end of the PDF",
        required=False,
        widget=forms.CheckboxInput({"class": "form-check-input"}),
    )

    def __init__(self, *args: Any, offered: Sequence[Technique], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        field = cast("forms.MultipleChoiceField", self.fields["techniques"])
        field.choices = [(one.key, one.label) for one in offered if one.key != FOUNDATION]
