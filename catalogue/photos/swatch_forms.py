"""The form of a swatch in the diary."""

from typing import Any

from crispy_forms.layout import Layout
from django import forms

from catalogue.photos.intake import clean_photo
from catalogue.photos.pictures import PhotoRefused
from catalogue.studio.form_parts import helper_with, text_area
from grading.beginnings.forms import CountField
from grading.entries.layouts import columns_of
from grading.entries.single_lines import LineField
from grading.sheets.documents import Document, entries_of


class SwatchForm(forms.Form):
    """A swatch of a fabric: when, what was counted before and after blocking, what it weighs, a picture."""

    # How many swatches there were: what a browser kept of a form that was saved since is forgotten.
    revision = forms.IntegerField(widget=forms.HiddenInput, required=False)
    fabric = forms.ChoiceField()
    made_on = forms.DateField(label="Made on", widget=forms.DateInput(attrs={"type": "date"}))
    over = forms.ChoiceField(label="Counted over", choices=[("10 cm", "10 cm"), ("4 in", "4 in")])
    before_stitches = CountField(label="Stitches before blocking", required=False)
    before_rows = CountField(label="Rows before blocking", required=False)
    after_stitches = CountField(label="Stitches after blocking", help_text="Such as 22")
    after_rows = CountField(label="Rows after blocking", help_text="Such as 30.5")
    weight_g = CountField(
        label="Weight of that square, g",
        required=False,
        help_text="Such as 12.6; yarn is worked out from it.",
    )
    picture = forms.FileField(
        required=False,
        widget=forms.ClearableFileInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
        help_text="JPEG, PNG or WebP, up to 20 MB. Only the studio sees it.",
    )
    alt = LineField(
        label="What the picture shows",
        max_length=300,
        required=False,
        help_text="Such as: Blocked, pinned out",
    )
    note = forms.CharField(
        max_length=1000, required=False, widget=text_area(2), help_text="Such as: 5 mm hook, yarn held double"
    )

    def __init__(self, data: Any, files: Any, *, document: Document, known: int) -> None:
        over = "10 cm" if document["home_units"] == "cm" else "4 in"
        super().__init__(data, files, initial={"over": over, "revision": known})
        choices = [(name, entry["label"]) for name, entry in entries_of(document, "fabrics")]
        self.fields["fabric"].choices = choices  # type: ignore[attr-defined]
        self.helper = helper_with("Add to the diary")
        self.helper.attrs = {"data-kept": ""}
        counted = (
            ("fabric", "made_on", "over"),
            ("before_stitches", "before_rows"),
            ("after_stitches", "after_rows", "weight_g"),
        )
        self.helper.layout = Layout("revision", columns_of([counted, ("picture", "alt", "note")]))

    def clean(self) -> dict[str, Any]:
        """Make the picture clean; counts before blocking come in pairs."""
        cleaned = super().clean() or {}
        if (cleaned.get("before_stitches") is None) != (cleaned.get("before_rows") is None):
            self.add_error("before_rows", "Give both stitches and rows before blocking, or neither.")
        upload = cleaned.get("picture")
        if upload and not cleaned.get("alt"):
            self.add_error("alt", "Say in a few words what the picture shows.")
        if upload and not self.errors:
            try:
                cleaned["picture"] = clean_photo(upload)
            except PhotoRefused as refusal:
                self.add_error("picture", str(refusal))
        return cleaned
