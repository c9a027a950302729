"""The form of a yarn that is not made any more."""

from typing import Any

from django import forms

from catalogue.materials.ended_yarns import beside, nearest_yarns
from catalogue.models import Yarn
from catalogue.studio.form_parts import helper_with


class EndedYarnForm(forms.Form):
    """Since when a yarn is not made any more, and what to take in its place."""

    ended_on = forms.DateField(
        label="Discontinued since",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        help_text="Leave it empty while the yarn is made.",
    )
    substitute = forms.ChoiceField(
        label="In its place",
        required=False,
        help_text="The yarns of the studio, those as fine as this one first. Makers still swatch.",
    )

    def __init__(self, data: Any = None, *, yarn: Yarn) -> None:
        super().__init__(data, initial={"ended_on": yarn.ended_on, "substitute": yarn.substitute_id or ""})
        offered = nearest_yarns(yarn)
        if yarn.substitute and yarn.substitute not in offered:
            offered.append(yarn.substitute)
        self.offered = {str(one.pk): one for one in offered}
        labels = [(key, beside(yarn, one)) for key, one in self.offered.items()]
        self.fields["substitute"].choices = [("", "none known"), *labels]  # type: ignore[attr-defined]
        self.helper = helper_with("Save")

    def clean(self) -> dict[str, Any]:
        """A yarn that is made needs nothing in its place."""
        cleaned = super().clean() or {}
        if cleaned.get("substitute") and not cleaned.get("ended_on") and "ended_on" not in self.errors:
            self.add_error(
                "ended_on",
                "Give the date since when it is not made: a yarn that is still made needs no replacement.",
            )
        return cleaned

    def store(self, yarn: Yarn) -> None:
        """Keep what was typed."""
        yarn.ended_on = self.cleaned_data["ended_on"]
        yarn.substitute = self.offered.get(self.cleaned_data["substitute"])
        yarn.save(update_fields=["ended_on", "substitute"])
