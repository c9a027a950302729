"""Saying why something that was noticed is right: the line or the check keeps the reason."""

from collections.abc import Mapping, Sequence
from typing import Any

from django import forms

from grading.core.pattern.parts import label_of
from grading.entries.single_lines import LineField
from grading.grid.finding_groups import FindingGroup
from grading.sheets.documents import Document, entries_of, with_entries

LONGEST_REASON = 2000
SETTLING = (
    ("may_shrink", "smaller in a larger size"),
    ("may_jump", "a step unlike the others"),
    ("ease", "an ease that was not wanted"),
    ("rounding", "moved too far by rounding"),
    ("multiple", "off its multiple"),
    ("missing", "no number in a size"),
    ("holds", "a check that is not true"),
)
SETTLED_PARTS = (("values", "a line"), ("checks", "a check"))


class SettleForm(forms.Form):
    """Which line or check, what of it is right, and why; in the sizes in which it is noticed now."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    part = forms.ChoiceField(choices=SETTLED_PARTS)
    name = LineField(max_length=80)
    settled_by = forms.ChoiceField(choices=SETTLING)
    why = LineField(label="Why it is right", max_length=LONGEST_REASON)

    def __init__(
        self, data: Any, *, document: Document, noticed: Sequence[FindingGroup], revision: int
    ) -> None:
        self.document, self.noticed, self.now = document, noticed, revision
        super().__init__(data)
        self.fields["why"].error_messages["required"] = "Write why it is right, in a few words."

    def clean(self) -> dict[str, Any]:
        """Build the document in which the line says so."""
        cleaned = super().clean() or {}
        if self.errors or cleaned["revision"] != self.now:  # whoever saves it is told who edited it meanwhile
            return cleaned
        part, name = cleaned["part"], cleaned["name"]
        entries = entries_of(self.document, part)
        names = [one for one, _ in entries]
        if name not in names:
            raise forms.ValidationError(f"The line “{name}” is gone: look at the sheet again.")
        at = names.index(name)
        entries[at] = name, self._settled(entries[at][1])
        self.document = {**self.document, part: with_entries(part, entries)}
        return cleaned

    @property
    def saved_says(self) -> str:
        """What was settled, in a sentence that stands in place of what changed in the numbers."""
        found = dict(entries_of(self.document, self.cleaned_data["part"]))[self.cleaned_data["name"]]
        return f"Settled: {label_of({'name': self.cleaned_data['name'], **found})}."

    def _settled(self, entry: dict[str, Any]) -> dict[str, Any]:
        """The entry with the reason; what stops the pattern, or is noticed no more, can't be settled."""
        part, name, what = (self.cleaned_data[key] for key in ("part", "name", "settled_by"))
        here = [one for one in self.noticed if (one.part, one.name) == (part, name)]
        found = next((one for one in here if one.settled_by == what and one.may_be_settled), None)
        if found is None and any(one.weight == "stop" for one in here):
            raise forms.ValidationError("A Stop can’t be settled with a reason: correct the line.")
        if found is None:
            raise forms.ValidationError("This is no longer a finding: look at the sheet again.")
        why = self.cleaned_data["why"].strip()
        row = {**({} if part == "checks" else {"what": what}), "sizes": list(found.sizes), "why": why}
        return {**entry, "settled": [*entry.get("settled", ()), row]}


def settled_in(entry: dict[str, Any], now: Mapping[str, str]) -> dict[str, Any]:
    """Return an entry settled in the sizes that are left, by the labels that they have now."""
    if "settled" not in entry:
        return entry
    rows = [{**one, "sizes": [now[size] for size in one["sizes"] if size in now]} for one in entry["settled"]]
    left = [one for one in rows if one["sizes"]]
    without = {key: one for key, one in entry.items() if key != "settled"}
    return {**entry, "settled": left} if left else without
