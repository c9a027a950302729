"""The form for a stitch pattern: its rows in words, or a grid of colours, and where it is worked."""

import re
from typing import Any, cast

from django import forms

from grading.core.formula.errors import PatternFileError
from grading.core.formula.literals import RESERVED
from grading.core.pattern.file import read_pattern
from grading.core.pattern.parts import label_of
from grading.core.pattern.schema import require_fit
from grading.entries.facts_forms import CRAFTS
from grading.entries.single_lines import LineField
from grading.sheets.documents import Document

PART = "stitch_patterns"
WORKED = [
    ("RS", "in rows; row 1 is a right-side row"),
    ("WS", "in rows; row 1 is a wrong-side row"),
    ("rounds", "in rounds"),
]
MOST = 40_000
# The head of a row, where somebody types or pastes it: rows are numbered by themselves.
_HEAD = re.compile(
    r"^\s*(?:row|round|rnd)\s*\d+\s*(?:\((?:rs|ws|right side|wrong side)\))?\s*[:.]\s*", re.IGNORECASE
)
_NOT_NAME = re.compile(r"[^a-z0-9]+")
_PLACE = re.compile(r"\$\.stitch_patterns\[\d+\](?:\.(\w+))?(?:\[(\d+)\])?")


def typed_rows(text: str) -> list[str]:
    """One row for each line that holds something, without the number before it."""
    return [row for line in text.splitlines() if (row := _HEAD.sub("", line).strip())]


class StitchPatternForm(forms.Form):
    """A stitch pattern as typed; `entry` is what it comes to."""

    revision = forms.IntegerField(widget=forms.HiddenInput, min_value=0)
    name = forms.CharField(required=False, max_length=200, widget=forms.HiddenInput)
    label = LineField(label="Name", max_length=200, help_text="What makers read, such as Trellis.")
    introduction = forms.CharField(
        required=False, max_length=20_000, widget=forms.Textarea(attrs={"rows": 2}),
        help_text="What a maker must know before row 1; may stay empty.",
    )  # fmt: skip
    craft = forms.ChoiceField(required=False)
    worked = forms.ChoiceField(label="Worked", choices=WORKED)
    multiple = forms.IntegerField(
        min_value=1, max_value=200, help_text="Stitches of one repeat: 6 in “a multiple of 6 plus 3”."
    )
    plus = forms.IntegerField(
        min_value=0, max_value=200, required=False, initial=0, label="Plus",
        help_text="Stitches before and after the repeats: 3 in “a multiple of 6 plus 3”.",
    )  # fmt: skip
    rows = forms.CharField(
        required=False, max_length=MOST, label="Rows in words",
        widget=forms.Textarea(attrs={"rows": 8, "spellcheck": "false"}),
        help_text="One row on each line, row 1 first, such as: K2, *yo, k2tog; repeat from * to last st, k1.",
    )  # fmt: skip
    grid = forms.CharField(
        required=False, max_length=MOST, label="Or a grid of colours",
        widget=forms.Textarea(attrs={"rows": 6, "spellcheck": "false", "class": "typed-grid"}),
        help_text="In place of rows: one letter for each stitch as the right side looks, row 1 on the lowest "
        "line. Put | before and after the repeat, such as A|ABBA|A.",
    )  # fmt: skip
    stitch = LineField(
        required=False, max_length=40, label="Stitch of the grid",
        help_text="Such as k or sc. Leave empty for stocking stitch, US single crochet (UK double crochet) "
        "or Tunisian simple stitch.",
    )  # fmt: skip
    over = forms.MultipleChoiceField(
        required=False, label="Worked over these stitches", widget=forms.CheckboxSelectMultiple,
        help_text="Every size of a ticked line must be whole repeats and the edge stitches.",
    )  # fmt: skip
    left_over = forms.CharField(
        required=False, max_length=20_000, label="Stitches left over",
        widget=forms.Textarea(attrs={"rows": 2}),
        help_text="Only where some size does not come out: what becomes of the stitches beyond the repeats.",
    )  # fmt: skip

    def __init__(self, data: Any = None, *, document: Document, place: int | None, revision: int) -> None:
        self.before, self.place = document, place
        self.known: dict[str, Any] = {} if place is None else document[PART][place]
        self.document: Document = document
        self.entry: dict[str, Any] = {}
        super().__init__(data, initial={"revision": revision, **_as_texts(self.known)})
        crafts = dict(CRAFTS)
        own = [("", f"as the pattern ({crafts[document['craft']]})")]
        self._choices("craft", [*own, *CRAFTS])
        stitches = [one for one in document.get("values", []) if one["kind"] == "stitches"]
        lines = {one["name"]: label_of(one) for one in stitches}
        lines |= {one["name"]: one["name"].replace("_", " ") for one in document.get("pick_ups", [])}
        gone = {name: f"{name} (there is no such line)" for name in self.known.get("over", [])}
        self._choices("over", list({**gone, **lines}.items()))

    def _choices(self, name: str, choices: list[tuple[str, str]]) -> None:
        """What may be chosen in a field."""
        field = cast("forms.ChoiceField", self.fields[name])
        field.choices = choices

    def clean(self) -> dict[str, Any]:
        """Build the entry and the document; refuse what is no stitch pattern at its field."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        rows, grid = typed_rows(cleaned["rows"]), cleaned["grid"].split()
        if bool(rows) == bool(grid):
            says = (
                "Type the rows in words or a grid of colours, not both." if rows else "Type at least one row."
            )
            self.add_error("rows", says)
            return cleaned
        self.entry = self._entry(cleaned, rows, [line.upper() for line in grid])
        entries = list(self.before.get(PART, []))
        place = len(entries) if self.place is None else self.place
        entries[place : place + 1] = [self.entry]
        self.document = {**self.before, PART: entries}
        try:
            require_fit(self.entry, PART, f"$.{PART}[{place}]")
            read_pattern(self.document)
        except PatternFileError as error:
            self._refuse(error)
        return cleaned

    def _entry(self, cleaned: dict[str, Any], rows: list[str], grid: list[str]) -> dict[str, Any]:
        """The entry as the file has it; what is left empty stays absent."""
        worked = cleaned["worked"]
        return {
            "name": self.known.get("name") or self._new_name(cleaned["label"]),
            "label": cleaned["label"],
            **({"introduction": cleaned["introduction"].strip()} if cleaned["introduction"].strip() else {}),
            **({"craft": cleaned["craft"]} if cleaned["craft"] else {}),
            **({"rounds": True} if worked == "rounds" else {}),
            **({"first_side": "WS"} if worked == "WS" else {}),
            "multiple": cleaned["multiple"],
            **({"plus": cleaned["plus"]} if cleaned["plus"] else {}),
            **({"rows": rows} if rows else {"grid": grid}),
            **({"stitch": cleaned["stitch"]} if cleaned["stitch"] else {}),
            **({"over": cleaned["over"]} if cleaned["over"] else {}),
            **({"left_over": cleaned["left_over"].strip()} if cleaned["left_over"].strip() else {}),
        }

    def _new_name(self, label: str) -> str:
        """A name made from the label that nothing else has."""
        name = _NOT_NAME.sub("_", label.lower()).strip("_")[:60]
        name = name if name[:1].isalpha() else f"pattern_{name}".strip("_")
        name = f"{name}_pattern" if name in RESERVED else name
        taken = {one.get("name") for part in self.before.values() if isinstance(part, list)
                 for one in part if isinstance(one, dict)}  # fmt: skip
        taken |= {*self.before.get("body", {}), *self.before.get("fabrics", {})}
        number = 2
        found = name
        while found in taken:
            found, number = f"{name}_{number}", number + 1
        return found

    def _refuse(self, error: PatternFileError) -> None:
        """Put the reason at the field that it is about."""
        found = _PLACE.match(error.path)
        key = found[1] if found and found[1] in self.fields else None
        row = f"Row {int(found[2]) + 1}: " if found and found[2] and key == "rows" else ""
        self.add_error(key, f"{row}{error.reason}")


def _as_texts(entry: dict[str, Any]) -> dict[str, Any]:
    """A stitch pattern as its form shows it."""
    return {
        **{key: content for key, content in entry.items() if key not in ("rows", "grid", "rounds")},
        "plus": entry.get("plus", 0),
        "worked": "rounds" if entry.get("rounds") else entry.get("first_side", "RS"),
        "rows": "\n".join(entry.get("rows", ())),
        "grid": "\n".join(entry.get("grid", ())),
    }
