"""Forms of publishing: the version and which editions of it are made, now or later."""

from collections.abc import Sequence
from typing import Any

from django import forms

from catalogue.editions.choices import (
    ONE_OR_GROUP,
    allowed_choices,
    group_names,
    left_hand_problem,
    suggested_choices,
)
from catalogue.models import Erratum
from catalogue.models.edition_choices import HELPS, WORDS, Choices, choices_code, choices_words
from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.glance_forms import GlanceForm
from catalogue.versions.freezing import record_pattern
from catalogue.versions.records import Record
from catalogue.versions.spots import erratum_words
from grading.core.pattern.file import read_pattern
from grading.entries.single_lines import LineField

LABELS = {
    "units": "Units",
    "terms": "Terms",
    "sizes": "Sizes",
    "print": "Print",
    "paper": "Paper",
    "hand": "Hand",
}


class PublishForm(GlanceForm):
    """A number, what changed in the designer's own words, the errata it corrects, its editions."""

    number = LineField(
        max_length=9, help_text="The next free number is filled in. Raise the first number for a new grade."
    )
    note = forms.CharField(
        label="What changed, in your own words",
        required=False,
        max_length=2_000,
        widget=text_area(3),
        help_text="Printed in the edition. For example: “The sleeve is two rows shorter in sizes L to 2X.”",
    )

    def __init__(
        self,
        *args: Any,
        pattern: dict[str, Any],
        errata: Sequence[Erratum] = (),
        button: str = "Publish",
        **more: Any,
    ) -> None:
        super().__init__(*args, **more)
        self.errata = errata
        if errata:
            known = [(one.pk, erratum_words(one)) for one in errata]
            self.fields["corrects"] = _boxes("Errata that this version corrects", known)
        offered = list(suggested_choices(pattern, pattern["sizes"]))
        self.offered = {choices_code(choices): choices for choices, _ in offered}
        home, *others = [(choices_code(one), choices_words(one)) for one, _ in offered]
        self.fields["editions"] = _boxes(
            f"Editions to make beside the first ({home[1]})",
            others,
            initial=[choices_code(choices) for choices, is_made in offered[1:] if is_made],
            help_text="Others can be made later from the version's page, with the same numbers and words.",
        )
        self.pattern = pattern
        self.helper = helper_with(button)
        self.helper.attrs = {"data-kept": self.initial.get("number", "")}

    def clean_editions(self) -> list[str]:
        """Refuse a left-hand edition whose words can't be exchanged, with the place."""
        chosen: list[str] = self.cleaned_data["editions"]
        if any(self.offered[code]["hand"] == "left" for code in chosen):
            problem = left_hand_problem(read_pattern(self.pattern))
            if problem:
                raise forms.ValidationError(problem)
        return chosen

    def editions(self) -> list[Choices]:
        """The editions that were chosen."""
        return [self.offered[code] for code in self.cleaned_data["editions"]]


class EditionForm(forms.Form):
    """One more edition of a version."""

    def __init__(self, *args: Any, record: Record, **more: Any) -> None:
        super().__init__(*args, **more)
        allowed = allowed_choices(record)
        for name, label in LABELS.items():
            words = WORDS.get(name, {"all": "all sizes"})
            if len(allowed[name]) > 1:
                pairs = [(one, words.get(one, f"size {one}")) for one in allowed[name]]
                self.fields[name] = forms.ChoiceField(label=label, choices=pairs)
        if names := group_names(record):
            pairs = [("", "all groups"), *((one, one) for one in names)]
            self.fields["group"] = forms.ChoiceField(label="Group of sizes", choices=pairs, required=False)
        if record.get("helps"):
            pairs = [("", "with helps"), *HELPS.items()]
            self.fields["helps"] = forms.ChoiceField(label="Helps", choices=pairs, required=False)
        self.record = record
        self.helper = helper_with("Make this edition")

    def clean_hand(self) -> str:
        """Refuse a left-hand edition whose words can't be exchanged, with the place."""
        hand: str = self.cleaned_data["hand"]
        problem = left_hand_problem(record_pattern(self.record)) if hand == "left" else None
        if problem:
            raise forms.ValidationError(problem)
        return hand

    def clean(self) -> dict[str, Any]:
        """Refuse one size and a group together."""
        cleaned = super().clean() or {}
        if cleaned.get("group") and cleaned.get("sizes", "all") != "all":
            self.add_error("group", ONE_OR_GROUP)
        return cleaned

    def choices(self) -> Choices:
        """The edition that was chosen."""
        only = {name: allowed[0] for name, allowed in allowed_choices(self.record).items()}
        picked = {
            name: value
            for name, value in self.cleaned_data.items()
            if name not in ("helps", "group") or value
        }
        return {**only, **picked}


def _boxes(label: str, choices: Sequence[tuple[Any, str]], **more: Any) -> forms.MultipleChoiceField:
    """Several choices, each with a box."""
    return forms.MultipleChoiceField(
        label=label, choices=choices, required=False, widget=forms.CheckboxSelectMultiple, **more
    )
