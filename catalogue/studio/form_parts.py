"""Forms of the words, versions, errata and photos."""

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit
from django import forms


def helper_with(button: str) -> FormHelper:
    """A form with its own tag and one button."""
    helper = FormHelper()
    helper.add_input(Submit("save", button))
    return helper


def text_area(rows: int) -> forms.Textarea:
    """A field for several lines."""
    return forms.Textarea(attrs={"rows": rows, "spellcheck": "true"})
