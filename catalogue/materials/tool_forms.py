"""The form of the lengths of tools on sale."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit
from django import forms

from catalogue.materials.tool_lengths import Pairs, lengths_on_sale, read_lengths, written_lengths
from grading.core.tools.tools import LENGTH_LISTS

LONGEST_LIST = 1000


class LengthsField(forms.CharField):
    """A list of lengths, one a line."""

    def clean(self, value: Any) -> Pairs:
        """Return pairs of cm and inches."""
        try:
            return read_lengths(super().clean(value))
        except ValueError as problem:
            raise forms.ValidationError(str(problem)) from None


class ToolLengthsForm(forms.Form):
    """One list for each kind of tool."""

    def __init__(self, data: Any = None) -> None:
        super().__init__(data)
        lengths = lengths_on_sale()
        for kind, label in LENGTH_LISTS.items():
            self.fields[kind] = LengthsField(
                label=label,
                max_length=LONGEST_LIST,
                initial=written_lengths(lengths, kind),
                widget=forms.Textarea(attrs={"rows": 6}),
            )
        self.helper = FormHelper()
        self.helper.add_input(Submit("save", "Save the lengths"))
