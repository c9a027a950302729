"""Forms for the size table: the labels, and body measurements pasted from a spreadsheet."""

import re
from typing import Any

from django import forms

from grading.core.formula.errors import PatternFileError
from grading.core.formula.literals import RESERVED
from grading.core.pattern.file import read_pattern
from grading.entries.fields import as_number, tidy_number
from grading.entries.forms import name_from
from grading.entries.layouts import plain_layout
from grading.grid.refusals import refusal_in_words
from grading.sheets.documents import Document
from grading.sizes.groups import GroupProblem, groups_text, proposed_groups, read_groups
from grading.sizes.new_sizes import filled_from, source_table, still_lacking
from grading.sizes.sizes import added_sizes, label_problem, read_labels, resize

PROPOSED = "This is a proposal, and is saved with the sizes: change it, or clear it for one list. "
GROUPS_HELP = (
    "For more than 12 sizes. One group a line: its name, a colon and its first size. Such as: Child: 2. "
    "Each group is printed by itself, with its own lists."
)
UNITS = ("cm", "in", "mm")
MOST_CHARACTERS = 200_000
_CELL = re.compile(r"(-?[0-9]+(?:\.[0-9]+)?)\s*(cm|in|mm)?", re.ASCII)


class SizesForm(forms.Form):
    """The labels of the sizes."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    labels = forms.CharField(
        label="Sizes",
        max_length=MOST_CHARACTERS,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
        help_text=(
            "Smallest first, one a line or with commas, or a row pasted from a spreadsheet. "
            "Such as: S, M, 2X, 0-3 m."
        ),
    )

    groups = forms.CharField(
        label="Groups of sizes",
        required=False,
        max_length=MOST_CHARACTERS,
        widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false"}),
    )

    def __init__(self, data: Any = None, *, document: Document, revision: int) -> None:
        self.before = self.document = document
        known = document.get("size_groups", [])
        self.proposed = [] if known else proposed_groups(document["sizes"])
        self.groups_before = groups_text(known)
        initial = {
            "revision": revision,
            "labels": "\n".join(document["sizes"]),
            "groups": self.groups_before or groups_text(self.proposed),
        }
        super().__init__(data, initial=initial)
        self.fields["groups"].help_text = (PROPOSED if self.proposed else "") + GROUPS_HELP
        self.source = source_table(document)
        if self.source:
            self.fields["from_table"] = forms.BooleanField(
                label=f"Take the body measurements of new sizes from “{self.source.table.name}”",
                required=False,
                initial=True,
                help_text=f"Your other sizes have its numbers. It has {', '.join(self.source.others)} too.",
            )
        self.helper = plain_layout(self, kept=True)

    def clean_labels(self) -> str:
        """Refuse labels that are no labels, and sizes that cannot go."""
        text = str(self.cleaned_data["labels"])
        labels = read_labels(text)
        problem = label_problem(labels)
        if problem:
            raise forms.ValidationError(problem)
        try:
            self.document = resize(self.before, labels)
            read_pattern(_ungrouped(self.document))
        except PatternFileError as error:
            raise forms.ValidationError(error.reason)
        return text

    @property
    def new(self) -> list[str]:
        """The sizes that are added; a label in place of another one only renames."""
        return added_sizes(list(self.before["sizes"]), list(self.document["sizes"]))

    def said_when_saved(self) -> list[str]:
        """What is still to be filled in, in sentences."""
        return still_lacking(self.document, self.new)

    def clean_from_table(self) -> bool:
        """Take the numbers of the table over into new sizes, where that is wanted."""
        wanted = bool(self.cleaned_data["from_table"])
        if wanted and self.source and not self.errors:
            self.document = filled_from(self.source, self.document, self.new)
        return wanted

    def clean_groups(self) -> str:
        """Refuse groups that don't hold each size once; those that were not touched follow their sizes."""
        text = str(self.cleaned_data["groups"])
        if "labels" not in self.cleaned_data:
            return text
        document = self.document
        try:
            if text.split() != self.groups_before.split():
                groups = read_groups(text, list(document["sizes"]))
                document = {**_ungrouped(document), **({"size_groups": groups} if groups else {})}
            read_pattern(document)
        except GroupProblem as problem:
            raise forms.ValidationError(str(problem))
        except PatternFileError as error:
            raise forms.ValidationError(error.reason)
        self.document = document
        return text


def _ungrouped(document: Document) -> Document:
    """The document without groups of sizes."""
    return {key: content for key, content in document.items() if key != "size_groups"}


class BodyTableForm(forms.Form):
    """Body measurements as a table: one a line, the label first, then one number for each size."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    unit = forms.ChoiceField(label="Unit of the numbers", choices=[(unit, unit) for unit in UNITS])
    table = forms.CharField(
        label="Rows",
        max_length=MOST_CHARACTERS,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false", "class": "code"}),
        help_text="From a spreadsheet: label, then a number for each size. Such as: Bust girth 84 92 100",
    )
    leave_empty = forms.BooleanField(label="Leave empty sizes blank", required=False)

    def __init__(self, data: Any = None, *, document: Document, revision: int) -> None:
        self.before = self.document = document
        self.notes: list[str] = []
        super().__init__(data, initial={"revision": revision, "unit": document["home_units"]})
        self.helper = plain_layout(self, kept=True)

    def clean(self) -> dict[str, Any]:
        """Read every row, naming the row and size of what does not fit."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        body = dict(self.before.get("body", {}))
        for line in str(cleaned["table"]).splitlines():
            if line.strip():
                self._read_row(line.split("\t"), body)
        if not self.errors:
            self._try({**self.before, "body": body})
        return cleaned

    def _read_row(self, cells: list[str], body: dict[str, Any]) -> None:
        """Read one row into the body measurements; a known label keeps its name."""
        label, figures = cells[0].strip(), [cell.strip() for cell in cells[1:]]
        sizes = self.before["sizes"]
        if not label:
            return self.add_error("table", "A row has no label in its first cell.")
        if len(figures) != len(sizes):
            return self.add_error(
                "table", f"“{label[:60]}” has {len(figures)} numbers where {len(sizes)} are needed."
            )
        known = next((name for name, entry in body.items() if label in {name, entry["label"]}), None)
        numbers = [self._number(label, size, cell) for size, cell in zip(sizes, figures, strict=True)]
        taken = {**self.before.get("fabrics", {}), **body, **dict.fromkeys(RESERVED),
                 **{value["name"]: None for value in self.before.get("values", ())}}  # fmt: skip
        name = known or name_from(label, taken)
        label = body[known]["label"] if known else label
        body[name] = {"label": label, "unit": self.cleaned_data["unit"], "values": numbers}
        return None

    def _number(self, label: str, size: str, cell: str) -> int | float | None:
        """Read one cell, or say which one does not fit."""
        where = f"“{label[:60]}”, size {size}"
        if not cell:
            if not self.cleaned_data["leave_empty"]:
                says = f"{where} is empty: type a number, or tick “Leave empty sizes blank”."
                self.add_error("table", says)
            return None
        found = _CELL.fullmatch(cell) if len(cell) <= 60 else None
        number = as_number(found[1]) if found else cell
        if not found or isinstance(number, str) or not 0 <= number <= 10_000:
            self.add_error("table", f"{where}: “{cell[:60]}” is not a number from 0 to 10,000, such as 92.5.")
            return None
        if found[2] and found[2] != self.cleaned_data["unit"]:
            says = (
                f"{where}: “{cell}” is not in {self.cleaned_data['unit']}; convert it, or paste it by itself."
            )
            self.add_error("table", says)
        if tidy_number(found[1]) != found[1]:
            self.notes.append(f"{where} was rounded to {number}")
        return number

    def _try(self, document: Document) -> None:
        """Refuse what no pattern file could hold."""
        try:
            read_pattern(document)
            self.document = document
        except PatternFileError as error:
            self.add_error("table", refusal_in_words(error, document))

    def said_when_saved(self) -> list[str]:
        """What was rounded to 6 decimals, to be shown back."""
        return self.notes
