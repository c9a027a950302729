"""What the forms of all questions have in common."""

from crispy_forms.helper import FormHelper

from catalogue.studio.form_parts import helper_with


def question_helper(button: str, *, is_second: bool = False) -> FormHelper:
    """The tag and the button of a question, as `helper_with` makes them.

    A browser puts nothing back into it by itself: that would look as if somebody had just typed it, and what
    was sent long ago would stand there as not sent yet.
    """
    helper = helper_with(button, is_second=is_second)
    helper.attrs = {"autocomplete": "off"}
    return helper
