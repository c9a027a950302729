"""Forms of the desk: load a pattern file, begin an empty pattern."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms
from django.urls import reverse

from grading.entries.facts_forms import CRAFTS, LONGEST_TITLE, TERMS, UNITS
from grading.entries.single_lines import LineField
from grading.sizes.sizes import label_problem, read_labels
from grading.sizes.tables import own_tables, published_tables, sizes_named, table_words, with_table

LARGEST_FILE = 5 * 1024 * 1024


class LoadForm(forms.Form):
    """A pattern file from the person's computer."""

    file = forms.FileField(
        label="Pattern file", help_text="A .json file as “Save as a file” gives it, up to 5 MB."
    )
    replace = forms.BooleanField(
        label="Replace the draft of this title; its versions stay as they are", required=False
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_action = reverse("desk_load")
        self.helper.layout = Layout("file", "replace", Submit("", "Load it", css_class="btn-secondary"))

    def clean_file(self) -> str:
        """Return the text of the file."""
        upload = self.cleaned_data["file"]
        if upload.size > LARGEST_FILE:
            raise forms.ValidationError("The file is larger than 5 MB, the most that can be loaded.")
        try:
            return str(upload.read().decode("utf-8-sig"))
        except UnicodeDecodeError:
            raise forms.ValidationError("This file is not UTF-8 text, so it cannot be a pattern file.")


class NewPatternForm(forms.Form):
    """A pattern with sizes and nothing else yet."""

    title = LineField(max_length=LONGEST_TITLE, help_text="Such as: Larkmoss Winter Cardigan")
    craft = forms.ChoiceField(choices=CRAFTS)
    home_units = forms.ChoiceField(label="Units it is written in", choices=UNITS)
    home_terms = forms.ChoiceField(label="Terms it is written in", choices=TERMS)
    table = forms.ChoiceField(
        label="Body measurements", required=False, help_text="From a table, or typed into the sheet later."
    )
    sizes = forms.CharField(
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        initial="S\nM\nL",
        help_text=(
            "Smallest first, one a line or with commas. "
            "Of a size table you can write a span, such as: S to 2X"
        ),
    )

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.tables = {**own_tables(), **published_tables()}
        choices = [(key, table_words(table)) for key, table in self.tables.items()]
        self.fields["table"].choices = [("", "none yet"), *choices]  # type: ignore[attr-defined]
        self.helper = FormHelper()
        self.helper.form_action = reverse("desk_new")
        self.helper.layout = Layout(
            "title", "craft", "home_units", "home_terms", "table", "sizes", Submit("", "Begin")
        )

    def clean_sizes(self) -> list[str]:
        """Return the labels; of a table only those that it has."""
        typed = self.cleaned_data["sizes"]
        table = self.tables.get(self.cleaned_data.get("table", ""))
        if table:
            sizes, unknown = sizes_named(table, typed)
            if unknown:
                raise forms.ValidationError(unknown)
            return list(sizes)
        labels = read_labels(typed)
        problem = label_problem(labels)
        if problem:
            raise forms.ValidationError(problem)
        return labels

    def document(self) -> dict[str, Any]:
        """The pattern file of an empty pattern."""
        empty: dict[str, Any] = {"body": {}, "fabrics": {}, "values": [], "checks": [], "sections": []}
        header = {key: content for key, content in self.cleaned_data.items() if key != "table"}
        document = {"format": "evenrow-pattern", "format_version": 1, **header, **empty}
        table = self.tables.get(self.cleaned_data["table"])
        if table is None:
            return document
        names = [one.name for one in table.measurements]
        return with_table(document, table, "middle", list(self.cleaned_data["sizes"]), names)
