"""Forms about testers: the designer's note, asking again, asking for time."""

from typing import Any

from crispy_forms.helper import FormHelper
from django import forms
from django.db.models import QuerySet
from django.urls import reverse

from catalogue.models import Person
from catalogue.studio.form_parts import helper_with, text_area
from testing.models import TestCall


class NoteAboutForm(forms.Form):
    """A note about one tester."""

    text = forms.CharField(
        label="Note",
        max_length=2_000,
        required=False,
        widget=text_area(2),
        help_text="Only designers see it. It is in the file when a tester downloads all that you hold "
        "about them, as is their right.",
    )

    def __init__(self, *args: Any, person: Person, asked: str = "", **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["text"].label = f"Note about {person}"
        self.fields["text"].widget.attrs["id"] = f"note-{person.pk}"
        action = reverse("tester_note", args=[person.pk])
        self.helper: FormHelper = helper_with(
            "Keep the note", action=f"{action}?{asked}" if asked else action
        )


class AskForm(forms.Form):
    """The call that somebody is asked about."""

    call = forms.ModelChoiceField(label="Call", queryset=TestCall.objects.none())

    def __init__(self, *args: Any, calls: QuerySet[TestCall], **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["call"].queryset = calls  # type: ignore[attr-defined]
