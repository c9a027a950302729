"""The form for the allowance on all yarn."""

from typing import Any

from django import forms

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_pattern
from grading.entries.fields import as_number
from grading.entries.layouts import plain_layout
from grading.entries.single_lines import LineField
from grading.sheets.documents import Document


class AllowanceForm(forms.Form):
    """What is added to every weight of yarn, so that makers do not run out."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    yarn_allowance = LineField(
        label="Allowance on all yarn",
        max_length=60,
        required=False,
        help_text="Such as 8 %. Leave empty for none.",
    )

    def __init__(self, data: Any = None, *, document: Document, revision: int) -> None:
        self.before = self.document = document
        known = document.get("yarn_allowance", "")
        super().__init__(data, initial={"revision": revision, "yarn_allowance": known})
        self.helper = plain_layout(self)

    def clean_yarn_allowance(self) -> str:
        """Refuse what is no share."""
        text = str(self.cleaned_data["yarn_allowance"]).strip()
        self.document = {key: content for key, content in self.before.items() if key != "yarn_allowance"}
        if text:
            self.document = {**self.before, "yarn_allowance": as_number(text)}
        try:
            read_pattern(self.document)
        except PatternFileError as error:
            raise forms.ValidationError(error.reason)
        return text
