"""Forms of places: a size by hand, a later day."""

from collections.abc import Sequence
from typing import Any

from crispy_forms.helper import FormHelper
from django import forms

from grading.core.pattern.pattern import OptionEntry
from testing.access.typed_fields import day_field
from testing.models import Application


class PlaceForm(forms.Form):
    """Give an applicant a size by hand."""

    size = forms.ChoiceField(label="Size")

    def __init__(self, *args: Any, application: Application, sizes: list[str], **options: Any) -> None:
        super().__init__(*args, **options)
        wished = [size for size in application.sizes if size in sizes]
        others = [size for size in sizes if size not in wished]
        self.fields["size"].choices = [(size, size) for size in wished + others]  # type: ignore[attr-defined]
        self.fields["size"].label = f"Size for {application.name}"
        self.prefix = f"place-{application.pk}"
        self.helper = FormHelper()
        self.helper.form_tag = False


class TakePlaceForm(forms.Form):
    """The options of the garment that will be made: what is asked afterwards hangs on them."""

    def __init__(self, *args: Any, offered: Sequence[OptionEntry], **options: Any) -> None:
        super().__init__(*args, **options)
        self.names = {f"option_{place}": option.name for place, option in enumerate(offered)}
        for place, option in enumerate(offered):
            self.fields[f"option_{place}"] = forms.ChoiceField(
                label=option.label or option.name.replace("_", " "),
                choices=[(choice, choice) for choice in option.choices],
                initial=option.default,
                widget=forms.RadioSelect,
            )
        self.helper = FormHelper()
        self.helper.form_tag = False
        self.helper.disable_csrf = True

    def options(self) -> dict[str, str]:
        """The choice of each option."""
        return {name: self.cleaned_data[field] for field, name in self.names.items()}


class MoreTimeForm(forms.Form):
    """A later last day for one tester."""

    finish_by = day_field("New last day")
