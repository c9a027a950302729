"""Forms of one button: what they do hangs on the revision that was seen."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms

from grading.sheets.documents import Document, entries_of, with_entries


class RevisionForm(forms.Form):
    """Nothing to type: the revision that was seen, and the document as it shall be."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)

    def __init__(self, *args: Any, button: str = "Save", **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.document: Document = {}
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout("revision", Submit("", button, css_class="btn btn-outline-secondary"))


class MoveForm(forms.Form):
    """The place of an entry among its kind."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    below = forms.TypedChoiceField(label="Put it below", coerce=int)

    def __init__(
        self, data: Any = None, *, document: Document, part: str, place: int | None, revision: int
    ) -> None:
        self.before, self.part, self.place = document, part, place
        self.document: Document = document
        super().__init__(data, initial={"revision": revision, "below": (place or 0) - 1})
        names = [name for name, _ in entries_of(document, part)]
        choices = [(-1, "the top"), *((at, name) for at, name in enumerate(names) if at != place)]
        self.fields["below"].choices = choices  # type: ignore[attr-defined]
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.layout = Layout(
            "revision", "below", Submit("", "Move", css_class="btn btn-outline-secondary")
        )

    def clean(self) -> dict[str, Any]:
        """Move the entry."""
        cleaned = super().clean() or {}
        if not self.errors and self.place is not None:
            entries = entries_of(self.before, self.part)
            moved = entries.pop(self.place)
            below = cleaned["below"]
            target = below if below > self.place else below + 1
            entries.insert(target, moved)
            self.document = {**self.before, self.part: with_entries(self.part, entries)}
        return cleaned
