"""The form for one entry of a sheet: value, fabric, check, shaping, yarn and so on.

What is refused, and what is kept: a formula that is none (it cannot be read, or is over the limits) and
an entry that no pattern file could hold are refused at their field, with what was typed still there. A
formula that can be read but is wrong (unknown name, dimension, circle, division by zero, a count below
zero) is refused at first, with its sentence, and may be kept anyway by a second button: then it is stored
with its finding, and blanks only what hangs on it. No wrong result is stored either way.
"""

import json
import re
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from grading.core.formula.errors import FormulaError, PatternFileError
from grading.core.formula.formula import parse_formula
from grading.core.formula.typed_numbers import formula_with_points, length_formula, with_point
from grading.core.grade.grade import Graded
from grading.core.pattern.file import SHARED_NAMES
from grading.core.pattern.parts import label_of
from grading.entries.choosing import RowsField, WhenField
from grading.entries.fields import (
    FORMULAS,
    PER_SIZE,
    EntryField,
    as_entry,
    as_texts,
    field_at,
    fields_of,
    tidy_number,
    with_home_units,
)
from grading.entries.form_fields import form_field
from grading.entries.marked_formulas import with_place
from grading.entries.renaming import RENAMED, renamed
from grading.grid.grid import merged_findings
from grading.grid.refusals import reason_in_words, refusal_in_words
from grading.sheets.differences import Difference
from grading.sheets.documents import BY_NAME, Document, entries_of, with_entries
from grading.sheets.kept_sheets import KeptSheet, work_out_after
from grading.sheets.recalculation import compared

SOURCES = ("formula", "list", "steps")
MOST_RENAMED = 12
# Parts that have a name and no label: what they are called is typed, and their name is made from it.
CALLED = frozenset({"checks", "shapings", "spreads", "curves", "pick_ups", "stripes"})
# What is meant by a bare number, and how it stands in the file.
MEANT = {
    "swatch__weight": "{} g",
    "put_up": "{} g",
    "length_per_100g": "{} m",
    "extra": "{} g",
    "ratio": "{} per 1",
    "tolerance": "{} %",
}
_NAME = re.compile(r"[a-z][a-z0-9_]*", re.ASCII)
_BARE = re.compile(r"[0-9]+(\.[0-9]+)?", re.ASCII)
_PATH_STEP = re.compile(r"\.([^.\[\]]+)|\[(\d+)\]")
_BEGINS = re.compile(r"(?:^|(?<=: ))“(\w+)”(?=: | needs | names )")
_UNIT = re.compile(r"\s*([+-]?[0-9.]+)\s*([a-z]+)\s*", re.ASCII)


def _first_units(part: str, home_units: str) -> dict[str, str]:
    """The units of a new entry, until others are chosen: those that its pattern is written in."""
    if part == "body":
        return {"unit": home_units}
    return {"over": "4 in" if home_units == "in" else "10 cm"} if part == "fabrics" else {}


class EntryForm(forms.Form):
    """Edits the entry at a place (or adds one, with `place` None) and works out what that would change."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    was = forms.CharField(widget=forms.HiddenInput, required=False, strip=False)
    keep_anyway = forms.BooleanField(widget=forms.HiddenInput, required=False)

    def __init__(
        self,
        data: Any = None,
        *,
        standing: KeptSheet,
        part: str,
        place: int | None,
        revision: int,
    ) -> None:
        document = standing.document
        self.standing, self.before, self.part = standing, document, part
        self.entries = entries_of(document, part)
        self.place = self._found_again(place, data.get("was") if data else None)
        known: tuple[str | None, Any] = (None, None)
        self.name, self.entry_before = known if self.place is None else self.entries[self.place]
        self.parts = fields_of(part, document)
        self.document: Document = document
        self.difference = Difference()
        self.states: tuple[KeptSheet, KeptSheet] | None = None
        self.graded: Graded | None = None
        self.stops: list[dict[str, Any]] = []
        self.renamed_in: list[str] = []
        super().__init__(data, initial={"revision": revision, "was": self.name or "", **self._initial()})
        self._add_fields()
        self.helper = FormHelper()

    def _found_again(self, place: int | None, was: str | None) -> int | None:
        """The place of the entry that is edited, by its name where the order has changed meanwhile."""
        names = [name for name, _ in self.entries]
        if was and (place is None or names[place : place + 1] != [was]):
            return names.index(was) if was in names else None
        return place

    def _initial(self) -> dict[str, Any]:
        """What stands in the form before anything is typed."""
        texts = as_texts(self.parts, self.entry_before)
        if self.part in BY_NAME:
            texts["name"] = self.name or ""
        if self.part == "values":
            known = [source for source in SOURCES if source in (self.entry_before or {})]
            texts["source"] = known[0] if known else "formula"
        if self.entry_before is None:
            texts |= _first_units(self.part, self.before["home_units"])
        return texts

    def _add_fields(self) -> None:
        """One form field for each field of the entry, the name first."""
        if self.part in BY_NAME:
            self.fields["name"] = form_field(EntryField(("name",), "line", part=self.part), self.before)
        is_list = (self.data.get("source") or self.initial.get("source")) == "list"
        for part in self.parts:
            content = self.initial.get(part.key, "")
            self.fields[part.key] = form_field(part, self.before, content, is_list=is_list)
        if not self.initial.get("swatch__computed"):
            self.fields.pop("swatch__computed", None)
        when = self.fields.get("when")
        if isinstance(when, WhenField) and not when.choices:
            del self.fields["when"]
        if not self.before.get("options") and not self.initial.get("by_choice"):
            self.fields.pop("by_choice", None)
        if self.part == "values":
            self.fields["source"] = forms.ChoiceField(
                label="The number comes from",
                help_text="In a list or in steps you type numbers, such as 48 cm. A formula works them out.",
                choices=[("formula", "a formula"), ("list", "a list, one number for each size"),
                         ("steps", "steps between neighbouring sizes")],
                widget=forms.RadioSelect,
            )  # fmt: skip
        if self.part in {"values", "body"}:
            self.fields["leave_empty"] = forms.BooleanField(label="Leave empty sizes blank", required=False)

    @property
    def new_name(self) -> str:
        """The entry's name as typed, made from the label where it was left empty."""
        key = "colour" if self.part == "yarns" else "name"
        typed = str(self.cleaned_data.get(key) or "").strip()
        if self.part in CALLED and not _NAME.fullmatch(typed):
            others = {name: entry for name, entry in self.entries if name != self.name}
            return name_from(typed, others)
        return typed or name_from(str(self.cleaned_data.get("label") or ""), dict(self.entries))

    @property
    def may_keep(self) -> bool:
        """Whether it was refused only for findings, and may be kept with them."""
        return bool(self.stops)

    def clean(self) -> dict[str, Any]:
        """Build the document with the entry and work it out, or say at which field it fails."""
        cleaned = super().clean() or {}
        if not self.errors:
            try:
                self._build()
            except PatternFileError as error:
                self._refuse(error)
            except FormulaError as error:
                self.add_error(None, error.says)
        return cleaned

    def _build(self) -> None:
        """The entry, the document, the difference; errors go to their fields."""
        entry = self._entry()
        self._read_formulas(entry)
        self._name_empty_cells(entry)
        if self.errors:
            return
        self._refuse_taken_name()
        standing = self._with_new_name(self.standing)
        self.document = self._document(entry, standing.document)
        after = work_out_after(standing, self.document)
        self.states = standing, after
        self.document, self.graded = after.document, after.graded
        self.difference = compared(standing, after)
        here = self._where()
        found = [one for one in self.difference.new_findings if one["weight"] == "stop" and _is_at(one, here)]
        if found and not self.cleaned_data.get("keep_anyway"):
            self.stops = found
            for one in merged_findings(found):
                self.add_error(self._field_of(one), self._sentence(one, entry))

    def _entry(self) -> dict[str, Any]:
        """The entry as typed; of a value only the source that was chosen."""
        source = self.cleaned_data.get("source")
        fields = [
            one for one in self.parts if one.path[0] not in SOURCES or one.path[0] == source or not source
        ]
        typed = dict(self.cleaned_data)
        for key, written in MEANT.items():
            text = with_point(str(typed.get(key) or "").strip())
            if _BARE.fullmatch(text):
                typed[key] = written.format(text)
        if self.part == "body":
            typed |= {
                key: self._in_unit(key, text) for key, text in typed.items() if key.startswith("values__")
            }
        if typed.get("swatch__weight") != self.initial.get("swatch__weight"):
            typed.pop("swatch__computed", None)  # another weight is one that was weighed
        entry = as_entry(fields, typed, self.entry_before)
        if self.part == "values":
            entry = with_home_units(entry, self.before["home_units"])
        if self.part not in {*BY_NAME, "yarns"}:
            entry = {**({} if self.entry_before else {"name": self.new_name}), **entry, "name": self.new_name}
        return entry

    def _in_unit(self, key: str, text: str) -> str:
        """A measurement without its unit, where it names that of its row; another unit is refused."""
        found = _UNIT.fullmatch(text or "")
        unit = self.cleaned_data.get("unit")
        if not found:
            return text
        if found[2] != unit:
            says = (
                f"“{text}” is not in {unit}, the unit of this row: convert it, or change the unit of the row."
            )
            self.add_error(key, says)
        return found[1]

    def _read_formulas(self, entry: dict[str, Any]) -> None:
        """Refuse what cannot be read as a formula."""
        if self.part == "values" and self.cleaned_data["source"] == "formula" and "formula" not in entry:
            self.add_error("formula", "Type a formula, such as “bust + ease”.")
        if self.part == "pieces":
            corners = enumerate(entry.get("outline", ()), 1)
            entry["outline"] = [self._corner(place, corner) for place, corner in corners]
        for key in FORMULAS & entry.keys():
            try:
                entry[key] = formula_with_points(entry[key])
                parse_formula(entry[key])
            except FormulaError as error:
                self.add_error(key, with_place(error.says, entry[key], error.line, error.column))

    def _corner(self, place: int, corner: list[str]) -> list[str]:
        """A corner with its numbers as the sheet writes them; what cannot be read is refused by its place."""
        read = []
        for cell, text in zip(("across", "up"), corner, strict=True):
            try:
                read.append(length_formula(text, self.before["home_units"]))
                parse_formula(read[-1])
            except FormulaError as error:
                self.add_error("outline", f"Corner {place}, {cell}: {error.says}")
                return corner
        return read

    def _name_empty_cells(self, entry: dict[str, Any]) -> None:
        """Name the cells that were left empty, unless that was confirmed or they were empty before."""
        if self.cleaned_data.get("leave_empty"):
            return
        for key in PER_SIZE & entry.keys():
            known = (self.entry_before or {}).get(key, [])
            for place, content in enumerate(entry[key]):
                if content is None and known[place : place + 1] != [None]:
                    size = self.before["sizes"][place]
                    says = f"Size {size} is empty: type a number, or tick “Leave empty sizes blank”."
                    self.add_error(f"{key}__{place}", says)

    def _refuse_taken_name(self) -> None:
        """Refuse a name that another line has, by the label of that line."""
        if self.part not in SHARED_NAMES or self.new_name == self.name:
            return
        for part in SHARED_NAMES:
            for name, entry in entries_of(self.before, part):
                if name == self.new_name:
                    says = f"“{name}” is the name of “{label_of({'name': name, **entry})}”: choose another."
                    raise PatternFileError(f"{self._prefix()}.name", says)

    def _with_new_name(self, standing: KeptSheet) -> KeptSheet:
        """The sheet as it stands, with the line's new name in it and in all that names it, if it has one."""
        new = self.new_name
        is_other = self.name is not None and new != self.name and self.part in RENAMED
        if not is_other or not _NAME.fullmatch(new):
            return standing
        document, self.renamed_in = renamed(self.before, self.part, str(self.name), new)
        entries = entries_of(document, self.part)
        _, own = entries[self._place()]
        entries[self._place()] = new, own if self.part in BY_NAME else {**own, "name": new}
        return work_out_after(standing, {**document, self.part: with_entries(self.part, entries)})

    def _document(self, entry: dict[str, Any], document: Document) -> Document:
        """A document with the entry in its place, or after all others."""
        name = self.new_name
        entries = entries_of(document, self.part)
        place = self._place()
        entries[place : place + 1] = [(name, entry)]
        return {**document, self.part: with_entries(self.part, entries)}

    def _place(self) -> int:
        """Where the entry stands, or will stand, among its kind."""
        return len(self.entries) if self.place is None else self.place

    def _prefix(self) -> str:
        """The JSON path of the entry."""
        place = f".{self.new_name}" if self.part in BY_NAME else f"[{self._place()}]"
        return f"$.{self.part}{place}"

    def _where(self) -> str:
        """Where findings say that they stand, when they are about this entry."""
        return (
            f"yarn_sections[{self._place()}]"
            if self.part == "yarn_sections"
            else f"{self.part}.{self.new_name}"
        )

    def _main_field(self) -> str | None:
        """The field at which a finding is shown."""
        source = self.cleaned_data.get("source")
        shown = {"formula": "formula", "list": "list__0", "steps": "steps__base"}
        key = shown[source] if source else next((one for one in FORMULAS if one in self.fields), None)
        return key if key in self.fields else None

    def _field_of(self, finding: dict[str, Any]) -> str | None:
        """The field that a finding is about: the one whose key it begins with, else where formulas are."""
        begins = _BEGINS.search(finding["says"])
        key = begins[1].replace(".", "__") if begins else ""
        if key in self.fields:
            return key
        if self.part == "pick_ups" and not finding["line"]:
            return "count"
        return {"pieces": "outline", "joins": "edges"}.get(self.part) or self._main_field()

    def _sentence(self, finding: dict[str, Any], entry: dict[str, Any]) -> str:
        """A finding by the labels of the form, with its place marked in the formula that it is about."""
        says, field = self._by_label(finding["says"]), self._field_of(finding)
        formula = entry.get(field or "")
        if not finding["line"] or not isinstance(formula, str):
            return says
        return with_place(says, formula, finding["line"], finding["column"])

    def _by_label(self, says: str) -> str:
        """A sentence with the label of a field in place of its key in the file."""
        begins = _BEGINS.search(says)
        key = begins[1] if begins else ""
        if begins is None or key not in self.fields:
            return says
        return says[: begins.start()] + f"“{self.fields[key].label}”" + says[begins.end() :]

    def _refuse(self, error: PatternFileError) -> None:
        """Put the reason at the field that it is about; elsewhere it names its place."""
        prefix = self._prefix()
        inside = error.path.startswith((f"{prefix}.", f"{prefix}[")) or error.path == prefix
        rest = error.path[len(prefix) :] if inside else ""
        path = tuple(int(step[2]) if step[2] else step[1] for step in _PATH_STEP.finditer(rest))
        key = (
            "name"
            if path[:1] == ("name",) or (self.part in BY_NAME and not path)
            else field_at(self.parts, path)
        )
        if inside and key in self.fields:
            in_rows = isinstance(self.fields[key], RowsField) and len(path) > 1
            row = f"Row {int(path[1]) + 1}: " if in_rows else ""
            self.add_error(key, f"{row}{reason_in_words(error, self.document)}")
        else:
            told = reason_in_words if inside else refusal_in_words
            self.add_error(None, told(error, self.document))

    @property
    def renamed_says(self) -> str:
        """Where a new name is written in place of the old one, in one sentence; empty where it is not."""
        if not self.renamed_in:
            return ""
        shown = ", ".join(self.renamed_in[:MOST_RENAMED])
        rest = len(self.renamed_in) - MOST_RENAMED
        more = f" and {rest} more" if rest > 0 else ""
        return f"“{self.name}” is written “{self.new_name}” in {shown}{more}."

    def said_when_saved(self) -> list[str]:
        """What was rounded to 6 decimals, to be shown back."""
        typed = ((text, tidy_number(text)) for text in self.cleaned_data.values() if isinstance(text, str))
        return [f"{text} was rounded to {tidy}" for text, tidy in typed if text != tidy]


def name_from(label: str, taken: dict[str, Any]) -> str:
    """A name made from a label: lower-case words joined by _, with a number where it is taken."""
    words = re.sub(r"[^a-z0-9]+", "_", label.lower()).strip("_")
    base = words if words[:1].isalpha() else f"line_{words}".strip("_")
    numbered = (f"{base[:70]}_{count}" for count in range(2, len(taken) + 3))
    return base[:70] if base[:70] not in taken else next(name for name in numbered if name not in taken)


def entry_text(entry: Any) -> str:
    """An entry as it stands in the file, for reading."""
    return json.dumps(entry, ensure_ascii=False, indent=1)


def _is_at(finding: dict[str, Any], where: str) -> bool:
    """Whether a finding stands at an entry."""
    return bool(finding["where"] == where or finding["where"].startswith((f"{where}.", f"{where}[")))
