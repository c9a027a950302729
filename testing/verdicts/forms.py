"""The form by which a remark or a result becomes an erratum."""

from typing import Any

from django import forms

from catalogue.errata.forms import SAY_THE_STEP
from catalogue.errata.quoting import why_not_quoted
from catalogue.models import Erratum, Version
from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.glance_forms import GlanceForm
from catalogue.versions.gaps import read_gap
from catalogue.versions.records import read_record
from grading.entries.revision_forms import RevisionForm
from testing.verdicts.corrections import Correction


class MendForm(RevisionForm):
    """New counts, with the printed length kept as makers get it; or, said outright, the counts alone."""

    counts_alone = forms.BooleanField(required=False, label="Write the counts alone")

    def __init__(self, *args: Any, warning: str = "", **options: Any) -> None:
        super().__init__(*args, button="Write these counts into the sheet", **options)
        self.fields["counts_alone"].help_text = warning
        self.helper.layout.insert(1, "counts_alone")
        self.helper.layout[-1].field_classes = "btn btn-primary"


class CorrectionForm(GlanceForm):
    """Where, in which sizes, what it says and should say, why."""

    place = forms.ChoiceField(label="Where")
    sizes = forms.MultipleChoiceField(
        label="Sizes",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None chosen means all sizes.",
    )
    says = forms.CharField(label="What it says", max_length=2_000, required=False, widget=text_area(2))
    should_say = forms.CharField(
        label="What it should say", max_length=2_000, required=False, widget=text_area(2)
    )
    why = forms.CharField(
        label="Why",
        max_length=2_000,
        required=False,
        widget=text_area(3),
        help_text="It is public: write it in your own words, and name no tester.",
    )
    gravity = forms.ChoiceField(label="Severity", choices=Erratum.GRAVITIES, initial="wrong")

    def __init__(
        self,
        *args: Any,
        places: list[tuple[str, Any]],
        sizes: tuple[str, ...],
        version: Version | None,
        **options: Any,
    ) -> None:
        super().__init__(*args, **options)
        self.version = version
        self.fields["place"].choices = places  # type: ignore[attr-defined]
        self.fields["sizes"].choices = [(size, size) for size in sizes]  # type: ignore[attr-defined]
        self.helper = helper_with("File the erratum")

    def clean(self) -> dict[str, Any]:
        """What it says must stand in the version that was worked from."""
        found = super().clean() or {}
        missing = read_gap(str(found.get("place", "")))
        if missing and not found.get("should_say", "").strip():
            self.add_error("should_say", SAY_THE_STEP)
        if not missing and "says" in found and not found["says"]:
            self.add_error("says", self.fields["says"].error_messages["required"])
        if self.version and (place := found.get("place")):
            record, sizes = read_record(self.version.record), found.get("sizes") or ()
            if why := why_not_quoted(place, sizes, found.get("says", ""), record):
                self.add_error("says", why)
        return found

    def correction(self) -> Correction:
        """What was entered."""
        return Correction(**{name: self.cleaned_data[name] for name in Correction.__dataclass_fields__})
