"""Forms of photos."""

from typing import Any

from django import forms

from catalogue.photos.intake import clean_photo
from catalogue.photos.pictures import MOST_FILES, CleanPhoto, PhotoRefused
from catalogue.studio.form_parts import helper_with, text_area
from grading.entries.single_lines import LineField


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
        help_text=(
            "JPEG, PNG or WebP, up to 40 megapixels (WebP 13) and 20 MB each, "
            f"at most {MOST_FILES} at a time."
        ),
    )
    alts = forms.CharField(
        label="Describe the pictures for people who can't see them",
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
            self.add_error("alts", "A line is longer than 300 characters: shorten it.")
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
        label="Describe the picture for people who can't see it", max_length=300, widget=text_area(2)
    )
    caption = LineField(required=False, max_length=300)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper = helper_with("Save")
