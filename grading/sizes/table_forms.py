"""Forms of size tables and of lists of values: brought as a file or pasted, looked at, then confirmed."""

import hashlib
from dataclasses import replace
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Field, Layout
from django import forms
from django.http import QueryDict

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_pattern
from grading.core.sizes.tables import RULES, SizeTable
from grading.entries.single_lines import LineField
from grading.sheets.documents import Document
from grading.sizes.sizes import resize
from grading.sizes.table_reading import ReadTable, read_size_table, size_table_rows
from grading.sizes.tables import with_table
from grading.sizes.value_lists import ReadLists, read_value_lists
from grading.tables.files import RawTable, read_table, read_text, table_text
from grading.tables.limits import TableRefused

UNITS = [("cm", "centimetres"), ("in", "inches")]
RULE_CHOICES = list(RULES.items())
MOST_CHARACTERS = 500_000


class BroughtForm(forms.Form):
    """A table as a file or as text; the file, if there is one, takes the place of the text."""

    file = forms.FileField(
        label="File",
        required=False,
        help_text="CSV (UTF-8), XLSX or ODS: the first sheet, at most 5 MB and 5,000 rows.",
    )
    text = forms.CharField(
        label="Or paste it here",
        required=False,
        strip=False,
        max_length=MOST_CHARACTERS,
        widget=forms.Textarea(attrs={"rows": 12, "spellcheck": "false", "class": "code", "wrap": "off"}),
    )
    seen = forms.CharField(required=False, widget=forms.HiddenInput, max_length=64)
    raw: RawTable | None = None
    helper: FormHelper

    def clean(self) -> dict[str, Any]:
        """Read the table; a form that is looked at again holds its text."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        try:
            self.raw = self._brought(cleaned)
            cleaned["text"] = table_text(self.raw)
            self.read(self.raw, cleaned)
        except TableRefused as refused:
            self.add_error("file" if cleaned.get("file") else "text", str(refused))
        return cleaned

    def _brought(self, cleaned: dict[str, Any]) -> RawTable:
        """The table as rows."""
        upload = cleaned.get("file")
        if upload:
            return read_table(upload.name, upload.read())
        if not cleaned.get("text", "").strip():
            raise TableRefused("Choose a file, or paste a table from a spreadsheet.")
        return read_text(cleaned["text"])

    def read(self, raw: RawTable, cleaned: dict[str, Any]) -> None:
        """Make something of the rows; each form does so in its own way."""

    def add_problems(self, problems: list[str]) -> None:
        """Show every cell that does not fit."""
        for says in problems:
            self.add_error("text", says)

    @property
    def digest(self) -> str:
        """What was looked at, so that nothing else is stored."""
        shown = {name: self.cleaned_data.get(name) for name in self.fields if name not in {"file", "seen"}}
        return hashlib.sha256(repr(sorted(shown.items())).encode()).hexdigest()

    @property
    def is_confirmed(self) -> bool:
        """Whether exactly this was looked at before."""
        return bool(self.cleaned_data["seen"] == self.digest)

    def looked_at(self) -> "BroughtForm":
        """The form as it is shown after looking: its text, and the mark of having been looked at."""
        shown = QueryDict(mutable=True)
        shown.update(self.data)
        shown["text"] = self.cleaned_data.get("text", "") or self.data.get("text", "")
        shown["seen"] = "" if self.errors else self.digest
        self.data = shown
        return self


def brought_layout(form: forms.Form, check_url: str) -> FormHelper:
    """One button, to look at what was brought; the one that stores it stands beside what was read."""
    helper = FormHelper()
    helper.form_action, helper.form_id = check_url, "brought"
    look = '<div class="actions"><button class="btn btn-outline-secondary">Preview</button></div>'
    helper.layout = Layout(*(Field(name) for name in form.fields), HTML(look))
    return helper


class SizeTableForm(BroughtForm):
    """One of the studio's own tables."""

    name = LineField(max_length=80, help_text="Such as: Larkmoss women, tall")
    unit = forms.ChoiceField(label="Unit of the numbers", choices=UNITS)
    edition = LineField(max_length=80, required=False)
    source = LineField(max_length=300, required=False, help_text="Where the numbers come from.")
    caution = LineField(label="Note", max_length=200, required=False)
    half_open = forms.BooleanField(label="The upper end of a range belongs to the next size", required=False)
    field_order = ("name", "unit", "edition", "source", "caution", "half_open", "file", "text", "seen")

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["text"].help_text = (
            "The first cell says “size” where each line is a size, or “measurement” where each line is a "
            "measurement. Ranges as 32-34."
        )
        self.read_table = ReadTable()

    def read(self, raw: RawTable, cleaned: dict[str, Any]) -> None:
        """Read a size table."""
        found = read_size_table(raw, name=cleaned["name"], unit=cleaned["unit"])
        self.read_table = found
        self.add_problems(found.problems)
        if found.table is not None:
            words = {key: cleaned[key] for key in ("edition", "source", "caution")}
            measurements = tuple(
                replace(one, half_open=cleaned["half_open"]) for one in found.table.measurements
            )
            found.table = replace(found.table, measurements=measurements, **words)

    @property
    def table(self) -> SizeTable:
        """The table of a valid form."""
        if self.read_table.table is None:
            raise ValueError("Only a valid form has a table.")
        return self.read_table.table


def initial_of(table: SizeTable, *, name: str) -> dict[str, Any]:
    """A table as its form shows it."""
    lines = ["\t".join(" ".join(cell.split()) for cell in row) for row in size_table_rows(table)]
    return {
        "name": name,
        "unit": table.unit,
        "edition": table.edition,
        "source": table.source,
        "caution": table.caution,
        "half_open": any(one.half_open for one in table.measurements),
        "text": "\n".join(lines),
    }


class ValueListsForm(BroughtForm):
    """Lists of values for one pattern."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    unit = forms.ChoiceField(label="Unit of bare lengths", choices=UNITS)
    field_order = ("revision", "unit", "file", "text", "seen")

    def __init__(self, data: Any = None, files: Any = None, *, document: Document, revision: int) -> None:
        self.before = self.document = document
        self.lists = ReadLists(document)
        super().__init__(data, files, initial={"revision": revision, "unit": document["home_units"]})
        self.fields["text"].help_text = (
            "The first line says “value” and then the sizes; each further line is a value and its numbers. "
            "A column “kind” makes new values."
        )

    def read(self, raw: RawTable, cleaned: dict[str, Any]) -> None:
        """Read the lists into the document."""
        self.lists = read_value_lists(raw, self.before, cleaned["unit"])
        self.document = self.lists.document
        self.add_problems(self.lists.problems)


class UseTableForm(forms.Form):
    """Which numbers of a table go into a pattern, and how ranges become numbers."""

    helper: FormHelper

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    rule = forms.ChoiceField(label="Ranges", choices=RULE_CHOICES, widget=forms.RadioSelect, initial="middle")
    names = forms.MultipleChoiceField(label="Measurements", widget=forms.CheckboxSelectMultiple)
    sizes = forms.ChoiceField(
        choices=[
            (
                "keep",
                "Keep the sizes of the pattern; each takes the numbers of the table's size of the same name",
            ),
            ("take", "Give the pattern the sizes of the table"),
        ],
        widget=forms.RadioSelect,
        initial="keep",
    )

    def __init__(self, data: Any = None, *, table: SizeTable, document: Document, revision: int) -> None:
        self.table, self.before, self.document = table, document, document
        names = [one.name for one in table.measurements]
        super().__init__(data, initial={"revision": revision, "names": names})
        labels = [(one.name, f"{one.label} ({one.name})") for one in table.measurements]
        self.fields["names"].choices = labels  # type: ignore[attr-defined]

    def clean(self) -> dict[str, Any]:
        """Work out the document as it would be."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        try:
            document = self.before
            if cleaned["sizes"] == "take":
                document = resize(document, list(self.table.sizes))
            partners = self._partners(document["sizes"])
            document = with_table(document, self.table, cleaned["rule"], partners, cleaned["names"])
            read_pattern(document)
            self.document = document
        except PatternFileError as error:
            self.add_error(None, error.reason)
        return cleaned

    def _partners(self, sizes: list[str]) -> list[str]:
        """Each size of the pattern that the table has, empty for the others."""
        partners = [size if self.table.place_of(size) is not None else "" for size in sizes]
        if not any(partners):
            says = f"No size of the pattern is in the table, which has {', '.join(self.table.sizes)}."
            self.add_error("sizes", f"{says} Rename the pattern's sizes, or give it those of the table.")
        return partners

    @property
    def unmatched(self) -> list[str]:
        """Sizes that the table has nothing for."""
        return [size for size in self.document["sizes"] if self.table.place_of(size) is None]
