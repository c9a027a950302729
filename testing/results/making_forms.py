"""Forms of a tester's own pages."""

import datetime as dt
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from catalogue.studio.form_parts import helper_with
from grading.entries.single_lines import LineField

MOST_DAYS = 365  # as much more time as may be asked for at once


class AskForTimeForm(forms.Form):
    """The later day that a tester asks for."""

    until = forms.DateField(
        label="I could finish by", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    because = LineField(label="Why, if you like to say", max_length=300, required=False)

    def __init__(self, *args: Any, action: str, after: dt.date, **options: Any) -> None:
        super().__init__(*args, **options)
        self.after = after
        self.helper: FormHelper = helper_with("Ask for more time", action=action)

    def clean_until(self) -> dt.date:
        """Refuse a day that gives no more time."""
        until: dt.date = self.cleaned_data["until"]
        latest = self.after + dt.timedelta(days=MOST_DAYS)
        if until > latest:
            raise forms.ValidationError(
                f"Choose a day until {latest.day} {latest:%B %Y}: that is a year more."
            )
        if until <= self.after:
            raise forms.ValidationError(f"Choose a day after {self.after.day} {self.after:%B %Y}.")
        return until
