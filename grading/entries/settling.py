"""Saying why something that was noticed is right: the line keeps the reason as its note."""

from typing import Any

from django import forms

from grading.entries.single_lines import LineField
from grading.sheets.documents import Document, entries_of, with_entries

LONGEST_REASON = 2000
SETTLING = (("may_shrink", "smaller in a larger size"), ("may_jump", "a step unlike the others"))


class SettleForm(forms.Form):
    """Which line, what of it is right, and why."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    name = LineField(max_length=80)
    settled_by = forms.ChoiceField(choices=SETTLING)
    why = LineField(label="Why it is right", max_length=LONGEST_REASON)

    def __init__(self, data: Any, *, document: Document) -> None:
        self.document = document
        super().__init__(data)
        self.fields["why"].error_messages["required"] = "Write why it is right, in a few words."

    def clean(self) -> dict[str, Any]:
        """Build the document in which the line says so."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        entries = entries_of(self.document, "values")
        names = [name for name, _ in entries]
        if cleaned["name"] not in names:
            raise forms.ValidationError(f"The line “{cleaned['name']}” is gone: look at the sheet again.")
        at = names.index(cleaned["name"])
        entry = entries[at][1]
        note = "\n".join(one for one in (entry.get("note", "").strip(), cleaned["why"].strip()) if one)
        entries[at] = names[at], {**entry, cleaned["settled_by"]: True, "note": note}
        self.document = {**self.document, "values": with_entries("values", entries)}
        return cleaned
