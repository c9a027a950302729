"""How the form of an entry is laid out: what is typed most at the top, the rest below, one button."""

from collections.abc import Sequence

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Div, Field, Layout, Submit
from django.forms import BaseForm

from grading.entries.shapes import SHAPES, SIDES

HIDDEN = ("revision", "was")
SOURCES = ("formula", "list", "steps")
# Groups of a value's form that most values leave empty: their titles and how the names of their fields begin.
FOLDED = (
    ("Rounding", ("round__",)),
    ("Finished measurement, where a maker can lay a tape", ("measured__",)),
    ("Note and exceptions", ("may_shrink", "may_jump", "settled", "note")),
)


def entry_layout(form: BaseForm, preview_url: str) -> FormHelper:
    """Return the helper that lays out an entry's form and asks for a preview while it is typed."""
    helper = FormHelper()
    helper.attrs = {
        "hx-post": preview_url,
        "hx-trigger": f"{'load, ' if form.initial.get('was') else ''}input delay:500ms, change delay:500ms",
        "hx-target": "#preview",
        "id": "entry-form",
        "data-kept": "",
    }
    shown_apart = {*HIDDEN, "keep_anyway", "leave_empty"}
    fields = [name for name in form.fields if name not in shown_apart]
    if "source" in form.fields:
        groups = _value_groups(form, fields)
    else:
        groups = _piece_groups(fields) if "side_width" in form.fields else _rows(fields)
    confirm = ["leave_empty"] if "leave_empty" in form.fields else []
    helper.layout = Layout(*HIDDEN, *groups, *confirm, save_buttons(again=not form.initial.get("was")))
    return helper


def plain_layout(form: BaseForm, button: str = "Save", *, kept: bool = False) -> FormHelper:
    """Return the helper for a form of a few fields below each other; a browser may keep what is typed."""
    helper = FormHelper()
    helper.attrs = {"data-kept": ""} if kept else {}
    helper.layout = Layout(*form.fields, Submit("", button))
    return helper


def columns_layout(
    hidden: Sequence[str], columns: Sequence[Sequence[str | Sequence[str]]], button: str = "Save"
) -> FormHelper:
    """Return the helper for a form in columns where there is room; the fields of a group share a row."""
    helper = FormHelper()
    helper.attrs = {"data-kept": ""}
    helper.layout = Layout(*hidden, columns_of(columns), Submit("", button))
    return helper


def columns_of(columns: Sequence[Sequence[str | Sequence[str]]]) -> Div:
    """The fields of a form in columns; those of a group in one row."""
    made = [
        Div(*(one if isinstance(one, str) else Div(*one, css_class="field-row") for one in column))
        for column in columns
    ]
    return Div(*made, css_class="split split-form")


def save_buttons(*, again: bool = False) -> Div:
    """The button that saves, one that goes on to another entry, and one that keeps a refused finding."""
    keep = (
        "{% if form.may_keep %}"
        '<button class="btn btn-outline-secondary" name="keep_anyway" value="on">'
        "Save with this error</button>{% endif %}"
    )
    more = HTML(
        '<button class="btn btn-outline-secondary" name="again" value="on">Save and add another</button>'
    )
    return Div(Submit("", "Save"), *([more] if again else []), HTML(keep), css_class="actions")


def _value_groups(form: BaseForm, fields: list[str]) -> list[object]:
    """The fields of a value: what it is, where its number comes from, and folded groups for the rest."""
    top = Div("label", Div("name", "kind", css_class="field-row"))
    sources = [Div(*_rows(_of(fields, (source,))), css_class=f"source-{source}") for source in SOURCES]
    return [top, "source", *sources, *(_folded(form, title, _of(fields, begin)) for title, begin in FOLDED)]


def _piece_groups(fields: list[str]) -> list[object]:
    """The fields of a piece: its shape with the sides that it has, or corners in a table."""
    sides = [
        Div(
            f"side_{key}",
            css_class=" ".join(["side", *(f"of-{one.key}" for one in SHAPES if key in one.sides)]),
        )
        for key in SIDES
    ]
    after = [one for one in fields if one in ("sides", "direction", "when")]
    return [
        "name",
        "label",
        "shape",
        *sides,
        Div("outline", "curves", "dimensions", css_class="by-corners"),
        *after,
    ]


def _of(fields: list[str], begin: tuple[str, ...]) -> list[str]:
    """The fields whose names begin in one of some ways."""
    return [one for one in fields if one.startswith(begin)]


def _folded(form: BaseForm, title: str, fields: list[str]) -> Div:
    """A group that is folded up, unless something stands in it."""
    is_open = any(form[one].value() or form[one].errors for one in fields)
    begin = f'<details class="sheet-group"{" open" if is_open else ""}><summary>{title}</summary>'
    return Div(HTML(begin), *_rows(fields), HTML("</details>"))


def _rows(fields: list[str]) -> list[object]:
    """Fields below each other; one field per size becomes a row that wraps."""
    per_size = [one for one in fields if one.rsplit("__", 1)[-1].isdigit()]
    others: list[object] = [Field(one) for one in fields if one not in per_size]
    if not per_size:
        return others
    return [*others, Div(*per_size, css_class="field-row", data_paste_row="")]
