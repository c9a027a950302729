"""How the form of an entry is laid out: what is typed most at the top, the rest below, one button."""

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Div, Field, Fieldset, Layout, Submit
from django.forms import BaseForm

HIDDEN = ("revision", "was")
# Groups of a value's form: their titles and the beginnings of the names of their fields.
VALUE_GROUPS = (
    ("Formula", ("formula",)),
    ("List: one number for each size", ("list__",)),
    ("Steps: a base size and the steps to its neighbours", ("steps__",)),
    ("Rounding", ("round__",)),
    ("Finished measurement: only where a maker can lay a tape", ("measured__",)),
    ("More", ("may_shrink", "may_jump", "note")),
)


def entry_layout(form: BaseForm, preview_url: str) -> FormHelper:
    """Return the helper that lays out an entry's form and asks for a preview while it is typed."""
    helper = FormHelper()
    helper.attrs = {
        "hx-post": preview_url,
        "hx-trigger": "input delay:500ms, change delay:500ms",
        "hx-target": "#preview",
        "id": "entry-form",
    }
    shown_apart = {*HIDDEN, "keep_anyway", "leave_empty"}
    fields = [name for name in form.fields if name not in shown_apart]
    groups = _value_groups(fields) if "source" in form.fields else _rows(fields)
    confirm = ["leave_empty"] if "leave_empty" in form.fields else []
    helper.layout = Layout(*HIDDEN, *groups, *confirm, save_buttons())
    return helper


def plain_layout(form: BaseForm, button: str = "Save") -> FormHelper:
    """Return the helper for a form of a few fields below each other."""
    helper = FormHelper()
    helper.layout = Layout(*form.fields, Submit("", button))
    return helper


def save_buttons() -> Div:
    """The button that saves, and the one that keeps an entry with its finding once it was refused for that."""
    keep = (
        "{% if form.may_keep %}"
        '<button class="btn btn-outline-secondary" name="keep_anyway" value="on">'
        "Keep it anyway, with its finding</button>{% endif %}"
    )
    return Div(Submit("", "Save"), HTML(keep), css_class="actions")


def _value_groups(fields: list[str]) -> list[object]:
    """The fields of a value in groups; those in none of them come first."""
    grouped = {title: [one for one in fields if one.startswith(begin)] for title, begin in VALUE_GROUPS}
    first = [one for one in fields if not any(one in group for group in grouped.values())]
    return [*first, *(Fieldset(title, *_rows(group)) for title, group in grouped.items() if group)]


def _rows(fields: list[str]) -> list[object]:
    """Fields below each other; one field per size becomes a row that wraps."""
    per_size = [one for one in fields if one.rsplit("__", 1)[-1].isdigit()]
    others: list[object] = [Field(one) for one in fields if one not in per_size]
    if not per_size:
        return others
    return [*others, Div(*per_size, css_class="field-row", data_paste_row="")]
