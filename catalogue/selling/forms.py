"""Forms of selling: facts for the catalogue, shops, rights and dates."""

import hashlib
from typing import Any, TypeVar

from django import forms
from django.db.models import Model

from catalogue.helps.addresses import AddressRefused, read_address
from catalogue.models import Pattern, RightsNote, SellingFacts, ShopLink, TargetDate
from catalogue.models.selling import SEASONS
from catalogue.selling.words_lists import WordsField
from catalogue.studio.form_parts import helper_with, text_area
from grading.entries.single_lines import LineField

MOST_OF_A_KIND = 20
Row = TypeVar("Row", bound=Model)


def date_input() -> forms.DateInput:
    """A field for a day."""
    return forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")


class RowForm(forms.ModelForm[Row]):
    """A row that somebody else may change meanwhile: nobody's words are written over unseen."""

    seen = forms.CharField(widget=forms.HiddenInput, required=False, max_length=64)

    def __init__(self, data: Any = None, *, instance: Row | None = None) -> None:
        super().__init__(data, instance=instance)
        self.now = self._state()
        self.initial["seen"] = self.now
        self.helper = helper_with("Save")

    def is_overtaken(self) -> bool:
        """Whether somebody saved it after the form was opened; it then says so and keeps what was typed."""
        if not self.instance.pk or self.cleaned_data["seen"] == self.now:
            return False
        self.add_error(None, "Somebody changed this meanwhile. Look at it in another window, or save again.")
        self.data = {**{key: self.data[key] for key in self.data}, "seen": self.now}
        return True

    def _state(self) -> str:
        """By what it is known whether the row was changed."""
        kept = sorted((key, str(value)) for key, value in self.initial.items() if key != "seen")
        return hashlib.sha256(repr(kept).encode()).hexdigest()


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
            "says": "What the PDF says of it",
            "since": "Since",
            "back_on": "Back with you on",
        }
        help_texts = {
            "whose": "For example: Fulling Lane Quarterly",
            "says": "For example: First published in Fulling Lane Quarterly, spring 2026.",
            "back_on": "Leave it empty where they don’t come back.",
        }

    def clean(self) -> dict[str, Any]:
        """Rights come back after they were given."""
        cleaned = super().clean() or {}
        since, back = cleaned.get("since"), cleaned.get("back_on")
        if since and back and back <= since:
            self.add_error("back_on", "They come back after they were given: choose a later day.")
        return cleaned


class TargetDateForm(RowForm[TargetDate]):
    """A day by which something is to be done."""

    class Meta:
        model = TargetDate
        fields: tuple[str, ...] = ("what", "due_on")
        field_classes = {"what": LineField}
        widgets = {"due_on": date_input()}
        labels = {"what": "What is to be done", "due_on": "By"}
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
