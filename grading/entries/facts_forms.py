"""The form for the facts of a pattern, such as title, summary, skill, craft, wearer and notions."""

from collections.abc import Callable
from typing import Any

from django import forms

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_pattern
from grading.core.pattern.schema import schema
from grading.entries.fields import as_number
from grading.entries.layouts import columns_layout
from grading.entries.single_lines import LineField
from grading.sheets.documents import Document

CRAFTS = [("crochet", "crochet"), ("tunisian", "Tunisian"), ("knitting", "knitting")]
UNITS = [("cm", "centimetres"), ("in", "inches")]
TERMS = [("US", "US terms"), ("UK", "UK terms")]
HAZARDS = [(one, one) for one in schema()["properties"]["hazards"]["items"]["enum"]]
SKILLS = [("", "not said"), *((one, one.capitalize()) for one in schema()["properties"]["skill"]["enum"])]
LONGEST_TITLE = 200
LONGEST_CONSTRUCTION = schema()["properties"]["construction"]["maxLength"]


class FactsForm(forms.Form):
    """Facts that stand at the top of the pattern file; what is left empty stays absent."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    title = LineField(max_length=LONGEST_TITLE, help_text="The link of the pattern’s page stays the same.")
    summary = forms.CharField(
        max_length=20_000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="Such as: Drop-shoulder pullover in half double crochet, worked from the hem up.",
    )
    skill = forms.ChoiceField(
        label="Skill level",
        required=False,
        choices=SKILLS,
        help_text="Basic: plain stitches, perhaps simple shaping. Easy: simple patterns, colours or shaping. "
        "Intermediate: involved ones. Complex: several techniques at the same time.",
    )
    construction = LineField(
        required=False,
        max_length=LONGEST_CONSTRUCTION,
        help_text="How it is made, such as: From the hem up in two pieces; sleeves worked down from the "
        "armholes. It is printed on the front page.",
    )
    craft = forms.ChoiceField(choices=CRAFTS)
    home_units = forms.ChoiceField(label="Units it is written in", choices=UNITS)
    home_terms = forms.ChoiceField(label="Terms it is written in", choices=TERMS)
    wearer = forms.ChoiceField(
        required=False, choices=[("", "not said"), ("adult", "adult"), ("child", "child"), ("baby", "baby")]
    )
    hazards = forms.MultipleChoiceField(
        required=False,
        choices=HAZARDS,
        widget=forms.CheckboxSelectMultiple,
        help_text="For a child or baby, each prints a caution.",
    )
    notions = forms.CharField(
        required=False,
        max_length=20_000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text="One a line: how many; what; size. Such as: 6; buttons; 20 mm",
    )
    abbreviations = forms.CharField(
        required=False,
        max_length=40_000,
        widget=forms.Textarea(attrs={"rows": 5}),
        help_text="One a line, such as: sts = stitches",
    )

    def __init__(self, data: Any = None, *, document: Document, revision: int) -> None:
        self.before = self.document = document
        texts = {key: write(document[key]) for key, write in _WRITERS.items() if key in document}
        super().__init__(data, initial={"revision": revision, **document, **texts})
        self.helper = columns_layout(
            ("revision",),
            [
                ("title", "summary", "construction", "notions", "abbreviations"),
                ("skill", ("craft", "home_units", "home_terms"), "wearer", "hazards"),
            ],
        )

    def clean(self) -> dict[str, Any]:
        """Build the document, or put the reason at its field."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        try:
            self.document = self._document(cleaned)
            read_pattern(self.document)
        except PatternFileError as error:
            key = error.path.removeprefix("$.").split("[")[0].split(".")[0]
            self.add_error(key if key in self.fields else None, error.reason)
        return cleaned

    def _document(self, cleaned: dict[str, Any]) -> Document:
        """The document with the facts; what was not retyped stays to the letter."""
        document = dict(self.before)
        for key in self.fields:
            typed = cleaned[key].replace("\r\n", "\n") if isinstance(cleaned[key], str) else cleaned[key]
            if key == "revision" or typed == self.initial.get(key, type(typed)()):
                continue
            content = _READERS[key](typed, self.before.get(key)) if key in _READERS else typed
            if content:
                document[key] = content
            else:
                document.pop(key, None)
        return document


def _notions_text(notions: list[dict[str, Any]]) -> str:
    """Notions, one a line."""
    return "\n".join(
        "; ".join(str(one[key]) for key in ("count", "label", "size") if key in one) for one in notions
    )


def _read_notions(text: str, before: list[dict[str, Any]] | None) -> list[dict[str, Any]]:
    """Notions from their lines; the options that one hangs on stay with its label."""
    known = {one["label"]: one for one in before or []}
    found = []
    for line in text.splitlines():
        cells = [cell.strip() for cell in line.split(";")]
        if not any(cells):
            continue
        if len(cells) < 2 or len(cells) > 3:
            raise PatternFileError("$.notions", f"“{line[:60]}” is not written as: how many; what; size.")
        when = {key: known[cells[1]][key] for key in ("when",) if key in known.get(cells[1], {})}
        size = {"size": cells[2]} if len(cells) == 3 else {}
        found.append({"label": cells[1], "count": as_number(cells[0]), **size, **when})
    return found


def _abbreviations_text(abbreviations: dict[str, str]) -> str:
    """Abbreviations, one a line."""
    return "\n".join(f"{short} = {meaning}" for short, meaning in abbreviations.items())


def _read_abbreviations(text: str, _: object) -> dict[str, str]:
    """Abbreviations from their lines."""
    found = {}
    for line in text.splitlines():
        short, equals, meaning = (part.strip() for part in line.partition("="))
        if line.strip() and not (short and equals and meaning):
            raise PatternFileError("$.abbreviations", f"“{line[:60]}” is not written as: short = meaning.")
        if line.strip():
            found[short] = meaning
    return found


_WRITERS: dict[str, Callable[[Any], str]] = {"notions": _notions_text, "abbreviations": _abbreviations_text}
_READERS: dict[str, Callable[[str, Any], Any]] = {
    "notions": _read_notions,
    "abbreviations": _read_abbreviations,
}
