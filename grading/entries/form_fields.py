"""From a field of an entry to a form field: widget, choices, one example each."""

from typing import Any

from django import forms

from grading.core.pattern.parts import label_of
from grading.entries.choosing import Choices, LineOrNumberField, RowsField, TableColumn, WhenField
from grading.entries.field_words import help_for
from grading.entries.fields import FORMULAS, STRIPES, EntryField, entry_schema
from grading.entries.single_lines import LineField
from grading.sheets.documents import Document, entries_of

MOST_TYPED = 20_000
TOO_LONG = "This has %(show_value)d characters; at most %(limit_value)d are allowed."
# Keys whose content is the name of another entry.
NAMED = {
    "round.fabric": "fabrics",
    "fabric": "fabrics",
    "measured.compares_to": "body",
    "stripes": "stripes",
    "yarn_sections.colour": "yarns",
}
# What is noticed in a line and may be right.
NOTICED = (("ease", "Not the ease that was wanted"), ("rounding", "Moved too far by rounding"),
           ("multiple", "Off its multiple"), ("may_shrink", "Smaller than the size before"),
           ("may_jump", "A step unlike the others"), ("missing", "No number in a size"))  # fmt: skip
STITCHES, ROWS = frozenset({"stitches", "count"}), frozenset({"rows", "count"})
# Keys whose content is the name of a line of one of some kinds, or a number.
LINES = {
    "shapings.from": STITCHES,
    "shapings.to": STITCHES,
    "shapings.each": STITCHES,
    "shapings.over": ROWS,
    "shapings.first": ROWS,
    "shapings.plain_end": ROWS,
    "spreads.change": STITCHES,
    "spreads.in": STITCHES,
    "curves.width": STITCHES,
    "curves.depth": ROWS,
    "pick_ups.count": STITCHES | ROWS,
    "stripes.start": ROWS,
    "yarn_sections.rows": ROWS,
}


def form_field(
    field: EntryField, document: Document, content: Any = "", *, is_list: bool = False
) -> forms.Field:
    """Return the form field for a field of an entry that holds some content now; lists can lack numbers."""
    if field.dotted == "settled":
        made: forms.Field = RowsField(_settled_cells(field.part, content, is_list=is_list), MOST_TYPED)
    else:
        made = _bare_field(field, document, content)
    made.label = field.label
    is_unnamed = field.path == ("name",) and "label" in entry_schema(field.part)["properties"]
    made.required = field.required and not is_unnamed and field.kind != "tick"
    is_first = isinstance(field.path[-1], str) or (field.path[-1] == 0 and "ease" in field.path)
    made.help_text = help_for(field.part, field.dotted) if is_first else ""
    made.error_messages["required"] = _missing(field, document)
    made.error_messages["max_length"] = TOO_LONG
    return made


def line_choices(document: Document, kinds: frozenset[str]) -> Choices:
    """The lines of a sheet of some kinds, by name with their labels; body measurements are lengths."""
    values = [(name, label_of({"name": name, **one})) for name, one in entries_of(document, "values")
              if one["kind"] in kinds]  # fmt: skip
    body = entries_of(document, "body") if "length" in kinds else []
    picked = entries_of(document, "pick_ups") if "stitches" in kinds else []
    return [
        *values,
        *((name, str(one["label"])) for name, one in body),
        *((name, f"{name.replace('_', ' ')} (pick-up)") for name, _ in picked),
    ]


def edge_choices(document: Document) -> Choices:
    """What may be joined: sides of pieces, pick-ups, and lines that are lengths or stitches."""
    sides = [
        (f"{name}.{side['name']}", f"{entry['label']}: {side['name'].replace('_', ' ')}")
        for name, entry in entries_of(document, "pieces")
        for side in entry.get("sides", ())
    ]
    return [*sides, *line_choices(document, frozenset({"stitches", "length"}))]


def _missing(field: EntryField, document: Document) -> str:
    """What to say of a field left empty: what to add first, where there is nothing to choose yet."""
    if field.dotted in {"edges", "onto"} and not edge_choices(document):
        return "There is nothing to join yet: add a piece with sides, a pick-up or a length first."
    if field.dotted == "fabric" and not entries_of(document, "fabrics"):
        return "There is no fabric yet: add one under Fabrics first."
    return f"{field.label} is missing."


def _bare_field(field: EntryField, document: Document, content: Any) -> forms.Field:
    """The field with its widget; a name that no entry has is shown as typed."""
    if field.kind == "tick":
        return forms.BooleanField()
    if field.kind == "choice":
        return forms.ChoiceField(choices=_with_none(field, [(one, one) for one in field.choices]))
    if field.kind == "rows":
        return RowsField(_cells(field.dotted, document), MOST_TYPED)
    if field.kind == "when":
        return WhenField(entries_of(document, "options"), content or [])
    if field.kind in {"words", "lines"}:
        return _long_field(field)
    return _short_field(field, document, str(content))


def _short_field(field: EntryField, document: Document, content: str) -> forms.Field:
    """A field of one line: a number, a name that is chosen, or a text."""
    key = f"{field.part}.{field.dotted}"
    if key in LINES:
        return LineOrNumberField(line_choices(document, LINES[key]), field.label, MOST_TYPED)
    names = _names(NAMED.get(key) or NAMED.get(field.dotted), document)
    if names and content in {"", *(name for name, _ in names)}:
        return forms.ChoiceField(choices=_with_none(field, names))
    attributes: dict[str, Any] = {"autocomplete": "off", "spellcheck": "false"}
    if field.kind == "number":
        attributes["class"] = "number"
    return LineField(max_length=MOST_TYPED, widget=forms.TextInput(attrs=attributes))


def _long_field(field: EntryField) -> forms.Field:
    """A field of several lines."""
    box = forms.Textarea(attrs={"rows": 3, "spellcheck": "false", "class": "code"})
    most = None if field.path[-1] in FORMULAS else MOST_TYPED  # formulas have a limit of their own
    return forms.CharField(max_length=most, widget=box, strip=False)


def _cells(dotted: str, document: Document) -> list[TableColumn]:
    """The columns of a table of rows."""
    corner = [TableColumn("From corner", is_number=True), TableColumn("To corner", is_number=True)]
    if dotted == "sequence":
        return [TableColumn("Colour", tuple(_names("yarns", document))), TableColumn("Rows", is_number=True)]
    if dotted == "curves":
        return [*corner, TableColumn("As the curve", tuple(_names("curves", document)) or (("", "round"),))]
    if dotted == "sides":
        return [TableColumn("Side"), *corner]
    if dotted in {"edges", "onto"}:
        return [
            TableColumn("Edge", tuple(edge_choices(document))),
            TableColumn("Times", is_number=True),
            TableColumn("Fabric of stitches", tuple(_names("fabrics", document))),
        ]
    if dotted == "dimensions":
        return [
            TableColumn("Line of the sheet", tuple(line_choices(document, frozenset({"length"})))),
            *corner,
        ]
    if dotted == "by_choice":
        return [
            TableColumn("When", option_choices(document), is_needed=True),
            TableColumn("Worked in", _worked_in(document), is_needed=True),
        ]
    return [TableColumn("Across"), TableColumn("Up")]


def _settled_cells(part: str, content: Any, *, is_list: bool) -> list[TableColumn]:
    """The columns of what is right as it is: of a line also what of it."""
    may_lack = is_list or any(row[0] == "missing" for row in content)
    noticed = NOTICED if may_lack else tuple(one for one in NOTICED if one[0] != "missing")
    what = [TableColumn("What", noticed, is_needed=True)] if part == "values" else []
    return [*what, TableColumn("Sizes", is_needed=True), TableColumn("Why", is_needed=True)]


def option_choices(document: Document) -> tuple[tuple[str, str], ...]:
    """Each choice of each option."""
    return tuple(
        (f"{name}={choice}", f"{entry['label']}: {choice}")
        for name, entry in entries_of(document, "options")
        for choice in entry["choices"]
    )


def _worked_in(document: Document) -> tuple[tuple[str, str], ...]:
    """The colours and the stripes that a part may be worked in."""
    striped = [(f"{STRIPES}{name}", f"Stripes: {label}") for name, label in _names("stripes", document)]
    return (*_names("yarns", document), *striped)


def _with_none(field: EntryField, choices: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Choices with an empty one where none need be made."""
    return choices if field.required else [("", "none"), *choices]


def _names(part: str | None, document: Document) -> list[tuple[str, str]]:
    """The entries that a field may name, by what people read of them."""
    entries = entries_of(document, part) if part else []
    if part == "yarns":
        return [(name, f"{name}, {entry['label']}") for name, entry in entries]
    return [(name, entry.get("label") or name.replace("_", " ")) for name, entry in entries]
