"""Forms for an older pattern: its text, and what becomes of each list in it."""

from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Layout, Submit
from django import forms

from catalogue.older.documents import Decision, relation_formula
from catalogue.older.file_texts import FileRefusedError
from catalogue.older.files import read_upload
from grading.core.older.reading import Candidate, OlderText, read_older_text
from grading.core.older.texts import LONGEST_TEXT
from grading.entries.facts_forms import CRAFTS, LONGEST_TITLE, TERMS, UNITS
from grading.entries.layouts import columns_of
from grading.entries.single_lines import LineField
from grading.sizes.sizes import label_problem, read_labels

MOST_LISTS = 400
COUNTED_KINDS = [("stitches", "stitches"), ("rows", "rows"), ("count", "a count")]
FIXED_KINDS = {"length": "a length", "yarn": "yarn", "weight": "a weight"}


class OlderFileForm(forms.Form):
    """A file whose text is taken."""

    file = forms.FileField(
        label="A file",
        widget=forms.FileInput({"accept": ".pdf,.docx,.txt"}),
        help_text="A PDF, DOCX or TXT file of up to 20 MB. You see its text before anything is created.",
    )

    text = ""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.use_required_attribute = False  # the text may be pasted instead
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        self.helper.layout = Layout(
            "file", Submit("take", "Take its text", css_class="btn-secondary", css_id="take")
        )

    def clean_file(self) -> Any:
        """Read the file's text."""
        file = self.cleaned_data["file"]
        try:
            self.text = read_upload(file.name, file)
        except FileRefusedError as refused:
            raise forms.ValidationError(str(refused)) from None
        if len(self.text) > LONGEST_TEXT:
            raise forms.ValidationError(
                f"The file has more than {LONGEST_TEXT:,} characters: paste it in two halves."
            )
        return file


class OlderTextForm(forms.Form):
    """The text of an older pattern and the few facts that it can't say for certain."""

    title = LineField(
        max_length=LONGEST_TITLE, required=False, help_text="Leave it empty when the first line is the title."
    )
    craft = forms.ChoiceField(choices=CRAFTS)
    home_units = forms.ChoiceField(label="Units it is written in", choices=UNITS)
    home_terms = forms.ChoiceField(label="Terms it is written in", choices=TERMS)
    sizes = forms.CharField(
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=(
            "Smallest first, one a line or with commas. "
            "Leave it empty if the text has them, as in: Sizes: S (M, L)"
        ),
    )
    text = forms.CharField(
        label="Text of the pattern",
        max_length=LONGEST_TEXT,
        widget=forms.Textarea(attrs={"rows": 16}),
        help_text="Paste all of it. Leave blank lines between sections, so that they can be found.",
    )

    older: OlderText

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True
        asked = ("title", ("craft", "home_units", "home_terms"), "sizes")
        self.helper.layout = Layout(columns_of([asked, ("text",)]), Submit("", "Read it"))

    def clean_text(self) -> str:
        """A text without signs that no page can show."""
        return str(self.cleaned_data["text"]).replace("\x00", "")

    def clean_sizes(self) -> list[str]:
        """Return the labels; none where the text shall say them."""
        labels = read_labels(self.cleaned_data["sizes"])
        problem = label_problem(labels) if labels else ""
        if problem:
            raise forms.ValidationError(problem)
        return labels

    def clean(self) -> dict[str, Any]:
        """Read the text, or say what is missing."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        self.older = read_older_text(cleaned["text"], cleaned["sizes"], keep=cleaned["home_units"])
        cleaned["title"] = cleaned["title"] or self.older.title[:LONGEST_TITLE]
        if not cleaned["title"]:
            self.add_error("title", "The text has no title on its first line: type one here.")
        if not self.older.sizes:
            self.add_error("sizes", "No line of the text begins with “Sizes” and names them: type them here.")
        if len(self.older.candidates) > MOST_LISTS:
            self.add_error(
                "text", f"The text has more than {MOST_LISTS} different lists: import it in two halves."
            )
        return cleaned

    def facts(self) -> dict[str, str]:
        """Title, craft, units and terms."""
        return {key: self.cleaned_data[key] for key in ("title", "craft", "home_units", "home_terms")}


class ListForm(forms.Form):
    """What becomes of one list: a value with a label and a kind, or text as it was."""

    keep = forms.BooleanField(
        required=False, label="Make it a value", widget=forms.CheckboxInput({"class": "form-check-input"})
    )
    label = LineField(max_length=200, required=False, widget=forms.TextInput({"class": "form-control"}))
    kind = forms.ChoiceField(widget=forms.Select({"class": "form-select"}))
    is_formula = forms.BooleanField(required=False, widget=forms.CheckboxInput({"class": "form-check-input"}))

    def __init__(self, data: Any, *, place: int, older: OlderText) -> None:
        self.candidate: Candidate = older.candidates[place]
        candidate = self.candidate
        initial = {
            "keep": candidate.kind != "count" or bool(candidate.unit),
            "label": candidate.label,
            "kind": candidate.kind,
        }
        super().__init__(data, prefix=f"list-{place + 1}", initial=initial)
        fixed = FIXED_KINDS.get(candidate.kind)
        self.fields["kind"].choices = [(candidate.kind, fixed)] if fixed else COUNTED_KINDS  # type: ignore[attr-defined]
        relation = candidate.relation
        if relation is None:
            del self.fields["is_formula"]
        else:
            other = f"“{older.candidates[relation.other].label}”"
            formula = relation_formula(relation, other, candidate, candidate.kind).replace("*", "×")
            self.fields["is_formula"].label = f"Write it as {formula}: so it is in every size"

    def clean(self) -> dict[str, Any]:
        """A value needs a label."""
        cleaned = super().clean() or {}
        if cleaned.get("keep") and not cleaned.get("label") and "label" not in self.errors:
            self.add_error("label", "Give this list a label, or leave it as text.")
        return cleaned

    def decision(self) -> Decision | None:
        """What was decided; None where the list stays text."""
        cleaned = self.cleaned_data
        if not cleaned["keep"]:
            return None
        return Decision(cleaned["label"], cleaned["kind"], is_formula=bool(cleaned.get("is_formula")))


def list_forms(data: Any, older: OlderText) -> list[ListForm]:
    """A form for each candidate; bound where data is given."""
    return [ListForm(data, place=place, older=older) for place in range(len(older.candidates))]
