"""The form of a piece: a shape with its sides tied to lines of the sheet, or corners in a table."""

from typing import Any

from django import forms

from grading.core.formula.typed_numbers import length_formula
from grading.core.pattern.parts import label_of
from grading.entries.choosing import Choices, LineOrNumberField
from grading.entries.form_fields import MOST_TYPED, line_choices
from grading.entries.forms import EntryForm
from grading.entries.shapes import BY_KEY, SHAPES, SIDES, piece_of, shape_of, sides_of
from grading.sheets.documents import Document, entries_of

FREELY = ("", "freely, by the corners below")
BY_CORNERS = ("outline", "curves", "dimensions")


class PieceForm(EntryForm):
    """Edits a piece: what a shape gives takes the place of the corners."""

    def _initial(self) -> dict[str, Any]:
        """The shape that the piece has, besides what every entry shows."""
        shape, sides = ("rectangle", {}) if self.entry_before is None else shape_of(self.entry_before)
        return {**super()._initial(), "shape": shape, **{f"side_{key}": text for key, text in sides.items()}}

    def _add_fields(self) -> None:
        """The shape and its sides, below what every entry has."""
        super()._add_fields()
        for key in BY_CORNERS:
            self.fields[key].required = False
        self.fields["shape"] = forms.ChoiceField(
            label="Shape", required=False, choices=[*((one.key, one.label) for one in SHAPES), FREELY]
        )
        choices = side_choices(self.before)
        for key, (label, helps) in SIDES.items():
            side = LineOrNumberField(choices, label, MOST_TYPED)
            side.label, side.help_text, side.required = label, helps, False
            self.fields[f"side_{key}"] = side

    def clean(self) -> dict[str, Any]:
        """Say which side of the shape is missing, before anything is drawn."""
        shape = BY_KEY.get(str(self.cleaned_data.get("shape") or ""))
        for key in shape.sides if shape else ():
            if not self.errors.get(f"side_{key}") and not self.cleaned_data.get(f"side_{key}"):
                self.add_error(f"side_{key}", "Choose a line of the sheet, or type a length such as 20 cm.")
        if not shape and not self.cleaned_data.get("outline"):
            self.add_error("outline", "Type at least three corners, or choose a shape.")
        return super().clean()

    def _entry(self) -> dict[str, Any]:
        """The piece, with what its shape gives."""
        entry = super()._entry()
        shape = BY_KEY.get(str(self.cleaned_data.get("shape") or ""))
        if shape is None:
            return entry
        lengths = [name for name, _ in line_choices(self.before, frozenset({"length"}))]
        sides = {key: self._length(self.cleaned_data[f"side_{key}"]) for key in shape.sides}
        made = piece_of(shape, sides, lengths)
        if self.entry_before is None and "sides" not in entry:
            made["sides"] = sides_of(shape)
        kept = {key: one for key, one in entry.items() if key not in BY_CORNERS}
        return {**kept, **{key: content for key, content in made.items() if content}}

    def _length(self, text: str) -> str:
        """A side with the unit that the pattern is written in, where it has none."""
        unit = self.before["home_units"]
        written = length_formula(text, unit)
        return f"0 {unit}" if written == "0" else written


def side_choices(document: Document) -> Choices:
    """Lengths of the sheet by their labels, and the halves of those that are measured all round."""
    around = [
        (f"{name} / 2", f"half of {label_of({'name': name, **one})}")
        for name, one in entries_of(document, "values")
        if one["kind"] == "length" and one.get("measured", {}).get("around")
    ]
    girths = [(f"{name} / 2", f"half of {one['label']}") for name, one in entries_of(document, "body")]
    return [*around, *line_choices(document, frozenset({"length"})), *girths]
