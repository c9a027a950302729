"""Forms of the words, versions, errata and photos."""

from collections.abc import Sequence
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import Submit
from django import forms

from catalogue.photos import clean_photo
from catalogue.pictures import MOST_FILES, CleanPhoto, PhotoRefused
from grading.core.pattern import Option
from grading.core.steps import LONGEST_STEP
from grading.lines import LineField


def helper_with(button: str) -> FormHelper:
    """A form with its own tag and one button."""
    helper = FormHelper()
    helper.add_input(Submit("save", button))
    return helper


def text_area(rows: int) -> forms.Textarea:
    """A field for several lines."""
    return forms.Textarea(attrs={"rows": rows, "spellcheck": "true"})


class StepForm(forms.Form):
    """The words of one step."""

    revision = forms.IntegerField(widget=forms.HiddenInput)
    text = forms.CharField(
        label="Step",
        max_length=LONGEST_STEP,
        strip=False,
        widget=text_area(8),
        help_text="A number is never typed: write the name of a value in braces. For example: "
        "“Row 1: 1 dc in each ch to the end, turn. ({back_stitches} sts)” Lengths too: “{3 cm}”.",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper = helper_with("Save the step")

    def clean_text(self) -> str:
        """Browsers send line ends of their own: a pattern file has plain ones."""
        return str(self.cleaned_data["text"]).replace("\r\n", "\n").replace("\r", "\n").rstrip()


class SectionForm(forms.Form):
    """A section's title, and the choices that it is printed for."""

    revision = forms.IntegerField(widget=forms.HiddenInput)
    title = LineField(max_length=120, help_text="For example: “Left front (as worn)”.")

    def __init__(self, *args: Any, options: Sequence[Option], **more: Any) -> None:
        super().__init__(*args, **more)
        self.options = options
        for option in options:
            self.fields[f"when_{option.name}"] = forms.MultipleChoiceField(
                label=f"Printed when “{option.label}” is",
                choices=[(choice, choice) for choice in option.choices],
                required=False,
                widget=forms.CheckboxSelectMultiple,
                help_text="None ticked: always.",
            )
        self.helper = helper_with("Save the section")

    def when(self) -> dict[str, Any] | None:
        """The condition as the pattern file has it; all or none of the choices is no condition."""
        found: dict[str, Any] = {}
        for option in self.options:
            chosen = self.cleaned_data[f"when_{option.name}"]
            if chosen and len(chosen) < len(option.choices):
                found[option.name] = chosen[0] if len(chosen) == 1 else chosen
        return found or None


class SeveralFilesInput(forms.ClearableFileInput):
    """A file field that takes several files."""

    allow_multiple_selected = True


class SeveralFilesField(forms.FileField):
    """Several files at once, up to a limit, each looked at on its own."""

    widget = SeveralFilesInput

    def clean(self, data: Any, initial: Any = None) -> list[Any]:  # noqa: ARG002 the shape of a field
        """Refuse too many or too few; an empty file is refused by name later."""
        files = list(data or [])
        if len(files) > MOST_FILES:
            raise forms.ValidationError(
                f"At most {MOST_FILES} pictures fit at a time, these are {len(files)}."
            )
        if not files:
            raise forms.ValidationError("Choose one picture or several.")
        return files


class PhotosForm(forms.Form):
    """New photos, each with its words."""

    pictures = SeveralFilesField(
        label="Pictures",
        widget=SeveralFilesInput(attrs={"accept": "image/jpeg,image/png,image/webp"}),
        help_text=f"JPEG, PNG or WebP, up to 40 megapixels and 20 MB each, at most {MOST_FILES} at a time.",
    )
    alts = forms.CharField(
        label="What the pictures show, for those who can't see them",
        widget=text_area(3),
        help_text="One line for each picture, in the order of the files. For example: “The waistcoat in "
        "three colours, worn over a shirt, seen from the front.”",
    )
    caption = LineField(
        required=False,
        max_length=300,
        help_text="Size, the wearer's bust, ease and shade. For example: “Size M on a bust of 92 cm, 8 cm of "
        "ease, in Peat.”",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper = helper_with("Add")

    def clean(self) -> dict[str, Any]:
        """Make the stored forms of each picture, and count the lines of words."""
        cleaned = super().clean() or {}
        files = cleaned.get("pictures") or []
        lines = [line.strip() for line in (cleaned.get("alts") or "").splitlines() if line.strip()]
        if files and lines and len(lines) != len(files):
            says = f"There are {len(files)} pictures and {len(lines)} lines: write one line for each."
            self.add_error("alts", says)
        if any(len(line) > 300 for line in lines):
            self.add_error("alts", "A line is longer than 300 characters: say it more shortly.")
        cleaned["photos"] = list(zip(self._cleaned(files), lines, strict=False))
        return cleaned

    def _cleaned(self, files: list[Any]) -> list[CleanPhoto]:
        """The pictures made clean; each one refused is an error with its number."""
        photos = []
        for number, upload in enumerate(files, 1):
            try:
                photos.append(clean_photo(upload))
            except PhotoRefused as refusal:
                self.add_error("pictures", f"Picture {number}: {refusal}" if len(files) > 1 else str(refusal))
        return photos


class PhotoWordsForm(forms.Form):
    """The words of a photo that is there already."""

    alt = forms.CharField(
        label="What the picture shows, for those who can't see it", max_length=300, widget=text_area(2)
    )
    caption = LineField(required=False, max_length=300)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper = helper_with("Save")
