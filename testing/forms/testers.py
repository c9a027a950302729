"""Forms about testers: the designer's note, asking again, asking for time."""

import datetime as dt
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.db.models import QuerySet
from django.urls import reverse

from catalogue.models import Person
from grading.lines import LineField
from testing.forms.fields import helper_with, text_area
from testing.models import TestCall


class NoteAboutForm(forms.Form):
    """A note about one tester."""

    text = forms.CharField(
        label="Note",
        max_length=2_000,
        required=False,
        widget=text_area(2),
        help_text="No page shows it to anybody but designers. Testers who take along all data held about "
        "them find it there, as is their right.",
    )

    def __init__(self, *args: Any, person: Person, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["text"].label = f"Note about {person}"
        self.fields["text"].widget.attrs["id"] = f"note-{person.pk}"
        self.helper: FormHelper = helper_with(
            "Keep the note", action=reverse("tester_note", args=[person.pk])
        )


class AskForm(forms.Form):
    """The call that somebody is asked about."""

    call = forms.ModelChoiceField(label="Call", queryset=TestCall.objects.none())

    def __init__(self, *args: Any, calls: QuerySet[TestCall], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["call"].queryset = calls  # type: ignore[attr-defined]


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
        if until <= self.after:
            raise forms.ValidationError(f"Choose a day after {self.after.day} {self.after:%B %Y}.")
        return until
