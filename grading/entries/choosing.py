"""Fields that show labels and keep names: lines of the sheet, rows of a small table, choices of options."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django import forms
from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from grading.entries.single_lines import require_one_line

Choices = Sequence[tuple[str, str]]
SPARE_ROWS = 3
MOST_ROWS = 400


class ChosenAndTyped(str):
    """What was chosen and what was typed beside it, where only one of them can hold."""

    __slots__ = ()


class LineWidget(forms.MultiWidget):
    """A list of lines by their labels, and a box for a number instead."""

    use_fieldset = False

    def __init__(self, choices: Choices, label: str) -> None:
        self.names = {name for name, _ in choices}
        box = forms.TextInput(
            attrs={
                "class": "form-control line-or-number",
                "autocomplete": "off",
                "placeholder": "or type it",
                "aria-label": f"{label}, typed",
            }
        )
        shown = forms.Select(choices=[("", "–"), *choices], attrs={"class": "form-select line-or-number"})
        super().__init__({"": shown, "typed": box})

    def id_for_label(self, id_: str) -> str:
        """The label belongs to the list."""
        return f"{id_}_0" if id_ else ""

    def use_required_attribute(self, initial: Any) -> bool:  # noqa: ARG002  Django's
        """Only one of the two need be filled, which a browser can't say."""
        return False

    def decompress(self, value: Any) -> list[str]:
        """A name that is known stands in the list, anything else in the box."""
        if isinstance(value, ChosenAndTyped):
            return value.split("\n", 1)
        text = str(value or "")
        return [text, ""] if text in self.names else ["", text]

    def value_from_datadict(self, data: Mapping[str, Any], files: Any, name: str) -> Any:  # noqa: ARG002  Django's
        """What was chosen or typed."""
        chosen, typed = str(data.get(name) or ""), str(data.get(f"{name}_typed") or "").strip()
        if chosen and typed and chosen != typed:
            return ChosenAndTyped(f"{chosen}\n{typed}")
        return typed or chosen


class LineOrNumberField(forms.CharField):
    """The name of a line, shown by its label, or a number."""

    def __init__(self, choices: Choices, label: str, most: int) -> None:
        super().__init__(max_length=most, widget=LineWidget(choices, label))

    def clean(self, value: Any) -> Any:
        """Refuse a choice and a number at once."""
        if isinstance(value, ChosenAndTyped):
            raise forms.ValidationError("Choose a line or type it, not both.")
        text = super().clean(value)
        require_one_line(text)
        return text


@dataclass(frozen=True)
class TableColumn:
    """One column of a table: what it is called, what may be chosen (anything where empty), if it must be."""

    label: str
    choices: tuple[tuple[str, str], ...] = ()
    is_number: bool = False
    is_needed: bool = False


class RowsWidget(forms.Widget):
    """A small table with a few empty rows at its end."""

    use_fieldset = True

    def __init__(self, cells: Sequence[TableColumn]) -> None:
        super().__init__()
        self.cells = tuple(cells)

    def value_from_datadict(self, data: Mapping[str, Any], files: Any, name: str) -> list[list[str]]:  # noqa: ARG002  Django's
        """The rows that hold something, in order."""
        rows = []
        for place in range(MOST_ROWS + 1):
            keys = [f"{name}-{place}-{cell}" for cell in range(len(self.cells))]
            if not any(key in data for key in keys):
                break
            row = [str(data.get(key) or "").strip() for key in keys]
            rows += [row] if any(row) else []
        return rows

    def value_omitted_from_data(self, data: Mapping[str, Any], files: Any, name: str) -> bool:  # noqa: ARG002  Django's
        """Whether the table was not on the page."""
        return f"{name}-0-0" not in data

    def render(self, name: str, value: Any, attrs: Any = None, renderer: Any = None) -> SafeString:  # noqa: ARG002  Django's
        """The table."""
        rows = [*(value or []), *[[""] * len(self.cells)] * SPARE_ROWS]
        shown = [
            {
                "number": place + 1,
                "cells": [
                    {
                        "name": f"{name}-{place}-{at}",
                        "column": cell.label,
                        "label": f"{cell.label}, {place + 1}",
                        "content": row[at],
                        "choices": _with_known(cell.choices, row[at]),
                        "is_number": cell.is_number,
                    }
                    for at, cell in enumerate(self.cells)
                ],
            }
            for place, row in enumerate(rows)
        ]
        return render_to_string(
            "grading/rows_field.html", {"columns": self.cells, "rows": shown, "name": name}
        )


class RowsField(forms.Field):
    """Rows of a few cells each."""

    def __init__(self, cells: Sequence[TableColumn], most: int) -> None:
        super().__init__(widget=RowsWidget(cells))
        self.cells, self.most = tuple(cells), most

    def clean(self, value: Any) -> list[list[str]]:
        """Refuse what no cell can hold, by its row and column."""
        rows: list[list[str]] = value or []
        for place, row in enumerate(rows, 1):
            for cell, text in zip(self.cells, row, strict=True):
                if len(text) > self.most:
                    raise forms.ValidationError(f"Row {place}, {cell.label}: at most {self.most} characters.")
                require_one_line(text)
                if cell.is_needed and not text:
                    raise forms.ValidationError(f"Row {place}: “{cell.label}” is missing.")
        if self.required and not rows:
            raise forms.ValidationError(self.error_messages["required"])
        return rows


class WhenField(forms.MultipleChoiceField):
    """Choices of options, ticked; what the options no longer have stays until it is unticked."""

    def __init__(self, options: Sequence[tuple[str, dict[str, Any]]], content: Sequence[str]) -> None:
        known = {
            f"{name}={choice}": f"{entry['label']}: {choice}"
            for name, entry in options
            for choice in entry["choices"]
        }
        gone = {one: f"{one.replace('=', ': ', 1)} (there is no such choice any more)" for one in content}
        super().__init__(choices=list({**gone, **known}.items()), widget=forms.CheckboxSelectMultiple)


def _with_known(choices: Choices, content: str) -> list[tuple[str, str]]:
    """Choices with an empty one, and with what stands there though nothing is called so."""
    if not choices:
        return []
    known = {name for name, _ in choices}
    own = [(content, content)] if content and content not in known else []
    return [("", "–"), *choices, *own]
