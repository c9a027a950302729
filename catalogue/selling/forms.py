"""Forms of selling: facts for the catalogue, shops, rights and dates."""

from typing import Any, TypeVar

from django import forms
from django.db.models import Model

from catalogue.helps.addresses import AddressRefused, read_address
from catalogue.models import Pattern, RightsNote, SellingFacts, ShopLink, TargetDate
from catalogue.models.selling import SEASONS
from catalogue.selling.words_lists import WordsField
from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.glance_forms import GlanceForm
from catalogue.versions.glances import Seen, written_glance
from grading.entries.single_lines import LineField

MOST_OF_A_KIND = 20
Row = TypeVar("Row", bound=Model)


def date_input() -> forms.DateInput:
    """A field for a day."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class RowForm(forms.ModelForm[Row], GlanceForm):
    """A row that somebody else may change meanwhile."""

    def __init__(self, data: Any = None, *, instance: Row | None = None) -> None:
        super().__init__(data, instance=instance)
        self.initial["seen"] = written_glance(self.glance(self.instance))
        self.helper = helper_with("Save")

    def glance(self, row: Row) -> Seen:
        """What the form shows of a row."""
        return {str(self[name].label): _shown(row, name) for name in self._meta.fields or ()}


class SellingFactsForm(RowForm[SellingFacts]):
    """What the catalogue and shops say of a pattern."""

    class Meta:
        model = SellingFacts
        fields: tuple[str, ...] = ("techniques", "seasons", "tags", "opening", "finished_use")

    techniques = WordsField(
        help_text="With commas between. For example: raglan, worked in the round, pockets"
    )
    seasons = forms.MultipleChoiceField(
        choices=[(one, one.capitalize()) for one in SEASONS],
        required=False,
        widget=forms.CheckboxSelectMultiple,
        help_text="Tick none for all year.",
    )
    tags = WordsField(help_text="With commas between. For example: gift, first garment, stash")
    opening = forms.CharField(
        label="How the text for shops begins",
        required=False,
        max_length=2_000,
        widget=text_area(4),
        help_text="Two or three plain sentences. Leave it empty to begin with the summary.",
    )
    finished_use = forms.CharField(
        label="Use of finished items",
        required=False,
        max_length=1_000,
        widget=text_area(3),
        help_text="In your own words, printed in PDFs from the next version on. For example: You may sell "
        "what you make by hand from this pattern. Please name the designer.",
    )


class ShopLinkForm(RowForm[ShopLink]):
    """A shop that sells the pattern."""

    class Meta:
        model = ShopLink
        fields: tuple[str, ...] = ("label", "address")
        field_classes = {"label": LineField, "address": LineField}
        help_texts = {
            "label": "As visitors read it. For example: Larkmoss shop",
            "address": "The page of this pattern. For example: https://shop.larkmoss.example/pullover",
        }
        labels = {"label": "Name of the shop", "address": "Link"}

    def clean_address(self) -> str:
        """Refuse what is no public web address."""
        address = str(self.cleaned_data["address"])
        try:
            read_address(address)
        except AddressRefused as refusal:
            raise forms.ValidationError(str(refusal)) from None
        return address


class RightsNoteForm(RowForm[RightsNote]):
    """Who else has rights in the pattern."""

    class Meta:
        model = RightsNote
        fields: tuple[str, ...] = ("kind", "whose", "says", "since", "back_on")
        field_classes = {"whose": LineField, "says": LineField}
        widgets = {"since": date_input(), "back_on": date_input()}
        labels = {
            "kind": "What they are",
            "whose": "Who has rights",
            "says": "What the PDF says about it",
            "since": "Since",
            "back_on": "Back with you on",
        }
        help_texts = {
            "whose": "For example: Fulling Lane Quarterly",
            "says": "For example: First published in Fulling Lane Quarterly, spring 2026.",
            "back_on": "Leave it empty if they never come back to you.",
        }

    def clean(self) -> dict[str, Any]:
        """Rights come back after they were given."""
        cleaned = super().clean() or {}
        since, back = cleaned.get("since"), cleaned.get("back_on")
        if since and back and back <= since:
            self.add_error(
                "back_on", "The rights can’t come back before they were given: choose a later day."
            )
        return cleaned


class TargetDateForm(RowForm[TargetDate]):
    """A day by which something is to be done."""

    class Meta:
        model = TargetDate
        fields: tuple[str, ...] = ("what", "due_on")
        field_classes = {"what": LineField}
        widgets = {"due_on": date_input()}
        labels = {"what": "What to do", "due_on": "By"}
        help_texts = {"what": "For example: Photos, release, newsletter"}


PART_FORMS: dict[str, type[RowForm[Any]]] = {
    "shops": ShopLinkForm,
    "rights": RightsNoteForm,
    "dates": TargetDateForm,
}
PART_NAMES = {"shops": "shop", "rights": "rights note", "dates": "target date"}


def part_form(kind: str, data: Any, instance: Any) -> RowForm[Any]:
    """The form of a kind of part."""
    return PART_FORMS[kind](data, instance=instance)


def parts_of(pattern: Pattern, kind: str) -> Any:
    """The rows of a kind that a pattern has."""
    return PART_FORMS[kind]._meta.model._default_manager.filter(pattern=pattern)  # noqa: SLF001


def _shown(row: Model, name: str) -> str:
    """A field of a row in words."""
    in_words = getattr(row, f"get_{name}_display", None)
    kept = in_words() if in_words else getattr(row, name)
    if isinstance(kept, list):
        return ", ".join(kept)
    return "" if kept is None else str(kept)
