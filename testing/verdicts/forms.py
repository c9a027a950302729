"""The form by which a remark or a result becomes an erratum."""

from typing import Any

from django import forms

from catalogue.models import Erratum
from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.glance_forms import GlanceForm
from testing.verdicts.corrections import Correction


class CorrectionForm(GlanceForm):
    """Where, in which sizes, what it says and should say, why."""

    place = forms.ChoiceField(label="Where")
    sizes = forms.MultipleChoiceField(
        label="Sizes",
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="None chosen means all sizes.",
    )
    says = forms.CharField(label="What it says", max_length=2_000, widget=text_area(2))
    should_say = forms.CharField(
        label="What it should say", max_length=2_000, required=False, widget=text_area(2)
    )
    why = forms.CharField(label="Why", max_length=2_000, required=False, widget=text_area(3))
    gravity = forms.ChoiceField(label="How grave", choices=Erratum.GRAVITIES, initial="wrong")

    def __init__(
        self, *args: Any, places: list[tuple[str, str]], sizes: tuple[str, ...], **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.fields["place"].choices = places  # type: ignore[attr-defined]
        self.fields["sizes"].choices = [(size, size) for size in sizes]  # type: ignore[attr-defined]
        self.helper = helper_with("File the erratum")

    def correction(self) -> Correction:
        """What was entered."""
        return Correction(**{name: self.cleaned_data[name] for name in Correction.__dataclass_fields__})
