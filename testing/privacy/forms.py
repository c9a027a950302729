"""The tester's own choices."""

from typing import Any

from django import forms
from django.urls import reverse

from catalogue.studio.form_parts import helper_with


class UnitsForm(forms.Form):
    """Centimetres or inches."""

    units = forms.ChoiceField(label="I measure in", choices=[("cm", "centimetres"), ("in", "inches")])

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper = helper_with("Change the units", action=reverse("my_units"))
