"""The form that asks whom a size table serves."""

from typing import Any

from django import forms

from grading.core.formula.literals import LENGTH_UNITS_MM
from grading.core.sizes.coverage import FitLimits
from grading.core.sizes.tables import SizeTable
from grading.entries.single_lines import LineField
from grading.sizes.bodies import ReadBodies, read_bodies
from grading.sizes.table_forms import RULE_CHOICES, UNITS, BroughtForm
from grading.tables.files import RawTable
from grading.tables.number_cells import NotANumber, read_cell


class CoverageForm(BroughtForm):
    """A set of bodies, and when a size fits one of them."""

    rule = forms.ChoiceField(label="Ranges", choices=RULE_CHOICES, initial="middle")
    unit = forms.ChoiceField(label="Unit of the bodies", choices=UNITS)
    garment = forms.ChoiceField(
        label="Finished measurements",
        required=False,
        help_text="Those of a pattern count where it compares one to a body measurement of the table, with "
        "the ease that it allows.",
    )
    fit_fields = {
        "within": "no further from the size than",
        "ease": "ease of the garment",
        "least": "least ease",
        "most": "most ease",
    }

    def __init__(
        self, data: Any = None, files: Any = None, *, table: SizeTable, garments: list[tuple[str, str]]
    ) -> None:
        self.table, self.bodies = table, ReadBodies()
        super().__init__(data, files, initial={"unit": table.unit, "rule": "middle"})
        none = ("", "The table’s, with the ease below")
        self.fields["garment"].choices = [none, *garments]  # type: ignore[attr-defined]
        self.fields["text"].label = "Or paste the bodies here"
        self.fields[
            "text"
        ].help_text = (
            "One line per body, one column per measurement, such as “bust (cm)”. Nothing of it is stored."
        )
        self.fields["choose_by"] = forms.MultipleChoiceField(
            label="People choose their size by",
            required=False,
            choices=[(one.name, one.label) for one in table.measurements],
            widget=forms.CheckboxSelectMultiple,
            help_text="None ticked: by all measurements that the bodies have.",
        )
        within = "5" if table.unit == "cm" else "2"
        for one in table.measurements:
            for key, words in self.fit_fields.items():
                self.fields[f"{key}__{one.name}"] = LineField(
                    label=f"{one.label}: {words}, {table.unit}",
                    required=False,
                    max_length=12,
                    initial=within if key == "within" else "",
                    widget=forms.TextInput(
                        attrs={"class": "form-control number", "inputmode": "decimal", "size": 6}
                    ),
                )

    def clean(self) -> dict[str, Any]:
        """Read the bodies and every number."""
        cleaned = super().clean()
        for name in [name for name in self.fields if "__" in name]:
            try:
                cleaned[name] = _signed(cleaned.get(name, ""))
            except NotANumber as error:
                self.add_error(name, str(error))
        return cleaned

    def read(self, raw: RawTable, cleaned: dict[str, Any]) -> None:
        """Read the bodies."""
        self.bodies = read_bodies(raw, self.table, cleaned["unit"])
        self.add_problems(self.bodies.problems)

    def fits(self) -> dict[str, FitLimits]:
        """When each measurement fits, in mm."""
        mm = LENGTH_UNITS_MM[self.table.unit]
        found = {}
        for one in self.table.measurements:
            typed = {key: self.cleaned_data[f"{key}__{one.name}"] for key in self.fit_fields}
            numbers = {key: None if number is None else number * mm for key, number in typed.items()}
            found[one.name] = FitLimits(
                numbers["within"], numbers["ease"] or 0.0, numbers["least"], numbers["most"]
            )
        return found

    @property
    def fit_rows(self) -> list[tuple[str, list[Any]]]:
        """The fields of each measurement, for a table."""
        return [
            (one.label, [self[f"{key}__{one.name}"] for key in self.fit_fields])
            for one in self.table.measurements
        ]


def _signed(text: str) -> float | None:
    """A number that may be below 0, or None."""
    text = text.strip().replace("−", "-")
    typed = read_cell(text.removeprefix("-"))
    if isinstance(typed.entry, tuple) or typed.unit is not None:
        raise NotANumber(f"“{text[:40]}” is not a number, such as 5 or -2.5.")
    if typed.entry is None:
        return None
    return -typed.entry if text.startswith("-") else typed.entry
