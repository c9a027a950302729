"""Forms of the technical edit."""

import datetime as dt
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils import timezone

from catalogue.models import Person
from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.glance_forms import GlanceForm
from catalogue.studio.mail_addresses import MailAddressField


class QueryForm(forms.Form):
    """A query of the editor."""

    place = forms.ChoiceField(label="Where")
    size = forms.ChoiceField(label="Size", required=False)
    row = forms.ChoiceField(
        label="Row",
        required=False,
        help_text="If you choose a row, “Where” becomes its step. Its line is copied into the query.",
    )
    asks = forms.CharField(
        label="Query",
        max_length=2_000,
        widget=text_area(3),
        help_text="For example: “Row 3 leaves 44 stitches in size M, row 4 begins with 46. Which is right?”",
    )

    is_blocking = forms.BooleanField(label="No release before this is answered", required=False)
    again = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)

    def __init__(
        self,
        *args: Any,
        places: Sequence[tuple[str, Any]],
        sizes: Sequence[str] = (),
        rows: Sequence[tuple[str, str]] = (),
        **more: Any,
    ) -> None:
        super().__init__(*args, **more)
        self.fields["place"].choices = places  # type: ignore[attr-defined]
        self.fields["size"].choices = [("", "all"), *((size, size) for size in sizes)]  # type: ignore[attr-defined]
        self.fields["row"].choices = [("", "the whole place"), *rows]  # type: ignore[attr-defined]
        self.helper = helper_with("Ask")


class AnswerForm(forms.Form):
    """The answer to a query."""

    answer = forms.CharField(max_length=2_000, widget=text_area(3))

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = helper_with("Save the answer")


class SignOffForm(GlanceForm):
    """The editor's signature under the state that was read."""

    note = forms.CharField(label="Remarks", required=False, max_length=2_000, widget=text_area(2))
    unread = forms.IntegerField(widget=forms.HiddenInput, required=False, min_value=0)
    own_answers = forms.BooleanField(
        label="I sign with blocking queries answered by the person who asked them",
        required=False,
    )

    def __init__(self, *args: Any, asks_own: bool = False, **more: Any) -> None:
        super().__init__(*args, **more)
        if not asks_own:
            del self.fields["own_answers"]


class WithdrawForm(forms.Form):
    """Which signature is taken back, and why."""

    seen = forms.IntegerField(widget=forms.HiddenInput)
    reason = forms.CharField(
        label="Why do you withdraw it?",
        max_length=2_000,
        widget=text_area(3),
        help_text="The designer sees it on the list of patterns. For example: “Sleeve, step 2 was not read.”",
    )

    def __init__(self, *args: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        self.helper = helper_with("Withdraw the sign-off")


class AccessForm(forms.Form):
    """Who is let into one pattern."""

    email = MailAddressField(
        label="E-mail address of an editor", max_length=254, help_text="For example: ida@larkmoss.example"
    )
    helper = helper_with("Give access")


class SignatureForm(forms.Form):
    """Who is asked to check and sign, and what to look at."""

    editor = forms.ChoiceField(label="Editor")
    note = forms.CharField(
        label="What to look at, and why",
        required=False,
        max_length=2_000,
        widget=text_area(3),
        help_text="For example: “The sleeves are new since your last signature.”",
    )
    due_on = forms.DateField(
        label="Sign by",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="The editor reads it in the e-mail and on their page. Leave it empty if there is time.",
    )

    def __init__(self, *args: Any, editors: Sequence[Person], **more: Any) -> None:
        super().__init__(*args, **more)
        self.editors = {str(one.pk): one for one in editors}
        named = [(key, str(one)) for key, one in self.editors.items()]
        self.fields["editor"].choices = named  # type: ignore[attr-defined]
        self.helper = helper_with("Ask for a signature")

    def clean_due_on(self) -> dt.date | None:
        """Nobody signs before they are asked."""
        day: dt.date | None = self.cleaned_data["due_on"]
        if day and day < timezone.localdate():
            raise forms.ValidationError("This day is over: give a day from today on, or leave it empty.")
        return day

    def chosen(self) -> Person:
        """Who was chosen."""
        return self.editors[self.cleaned_data["editor"]]
