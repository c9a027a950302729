"""The tester's own choices."""

from django import forms


class UnitsForm(forms.Form):
    """Centimetres or inches."""

    units = forms.ChoiceField(label="I measure in", choices=[("cm", "centimetres"), ("in", "inches")])
