"""From a field of an entry to a form field: widget, choices, one example each."""

from typing import Any

from django import forms

from grading.entries.fields import FORMULAS, EntryField
from grading.entries.single_lines import LineField
from grading.sheets.documents import BY_NAME, Document, entries_of

MOST_TYPED = 20_000
TOO_LONG = "This has %(show_value)d characters; at most %(limit_value)d are allowed."
HELP = {
    "name": "Lower-case letters, digits and _, as formulas write it; left empty, it is made from the label.",
    "label": "What people read, such as “Back, stitches”.",
    "formula": "Such as (bust + ease) / 2 * main.stitches",
    "holds": "Such as 2 * shoulder_stitches + neck_stitches = back_stitches",
    "worked": "Stitches × rows, such as back_stitches * back_rows",
    "round__multiple": "Such as 2, or 0.5 cm for a length.",
    "measured__how": "Such as “Round the body, 2 cm below the armholes.”",
    "measured__tolerance": "Such as 2 cm",
    "when": "One option a line, such as: sleeves = long, short",
    "sequence": "One stripe a line: colour and rows, such as: A 6",
    "choices": "One choice a line, the words that makers read.",
    "ratio": "Such as 3 per 4",
    "length_per_100g": "Such as 220 m",
    "put_up": "Such as 50 g",
    "swatch__weight": "Such as 12.6 g",
    "extra": "Such as 5 g",
    "stitches": "From 0.1 to 1000 over the length below.",
    "rows": "From 0.1 to 1000 over the length below.",
    "over": "After blocking.",
}
# Keys whose content is the name of another entry, or a number.
NAMED = {
    "round__fabric": ("fabrics",),
    "fabric": ("fabrics",),
    "measured__compares_to": ("body",),
    "stripes": ("stripes",),
}


def form_field(field: EntryField, document: Document, part: str, content: str = "") -> forms.Field:
    """Return the form field for a field of an entry that holds some content now."""
    made = _bare_field(field, _names(field, document, part), content)
    made.label = field.label
    made.required = field.required and field.path != ("name",) and field.kind != "tick"
    made.help_text = HELP.get(field.key, "") if isinstance(field.path[-1], str) else ""
    made.error_messages["required"] = f"{field.label} is missing."
    made.error_messages["max_length"] = TOO_LONG
    return made


def _bare_field(field: EntryField, names: list[tuple[str, str]], content: str) -> forms.Field:
    """The field with its widget; a name that no entry has is shown as typed."""
    if field.kind == "tick":
        return forms.BooleanField()
    if field.kind == "choice":
        return forms.ChoiceField(choices=_with_none(field, [(one, one) for one in field.choices]))
    if field.kind in {"words", "lines", "stripes", "when", "json"}:
        return _long_field(field)
    if names and content in {"", *(name for name, _ in names)}:
        return forms.ChoiceField(choices=_with_none(field, names))
    attributes: dict[str, Any] = {"autocomplete": "off", "spellcheck": "false"}
    if field.kind == "number":
        attributes["class"] = "number"
    return LineField(max_length=MOST_TYPED, widget=forms.TextInput(attrs=attributes))


def _long_field(field: EntryField) -> forms.Field:
    """A field of several lines."""
    box = forms.Textarea(attrs={"rows": 3, "spellcheck": "false", "class": "code"})
    if field.kind == "json":
        return _JsonText(widget=box)
    most = None if field.path[-1] in FORMULAS else MOST_TYPED  # formulas have a limit of their own
    return forms.CharField(max_length=most, widget=box, strip=False)


class _JsonText(forms.CharField):
    """An entry as in the file: text that must be JSON."""

    def clean(self, value: Any) -> Any:
        """Refuse what is no JSON."""
        text = super().clean(value)
        if text:
            try:
                forms.JSONField().clean(text)
            except forms.ValidationError as error:
                raise forms.ValidationError("This is not written as in a pattern file (JSON).") from error
        return text


def _with_none(field: EntryField, choices: list[tuple[str, str]]) -> list[tuple[str, str]]:
    """Choices with an empty one where none need be made."""
    return choices if field.required else [("", "none"), *choices]


def _names(field: EntryField, document: Document, part: str) -> list[tuple[str, str]]:
    """The entries that a field may name."""
    parts = ("yarns",) if (part, field.key) == ("yarn_sections", "colour") else NAMED.get(field.key, ())
    return [
        (name, f"{entry['label']} ({name})" if of_part in {*BY_NAME, "yarns"} else name)
        for of_part in parts
        for name, entry in entries_of(document, of_part)
    ]
