"""Parts that forms of all pages have in common."""

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit
from django import forms


def helper_with(button: str, *, action: str = "", is_second: bool = False) -> FormHelper:
    """A form with its own tag and one button; it is sent to its own page unless an address is given.

    With `is_second` another button of the page is the one to press.
    """
    helper, submit = FormHelper(), Submit("save", button)
    if is_second:
        submit.field_classes = "btn btn-outline-primary"
    helper.form_action = action
    helper.add_input(submit)
    return helper


def text_area(rows: int) -> forms.Textarea:
    """A field for several lines."""
    return forms.Textarea(attrs={"rows": rows, "spellcheck": "true"})
