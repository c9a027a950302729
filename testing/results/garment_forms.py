"""The forms of what a tester can tell of the finished garment: one question each."""

import datetime as dt
from collections.abc import Mapping, Sequence
from functools import partial
from typing import Any

from django import forms
from django.utils import timezone
from django.utils.html import escape

from catalogue.studio.glance_forms import GlanceForm
from grading.core.pattern.pattern import OptionEntry, ValueEntry, YarnEntry
from grading.entries.single_lines import LineField
from testing.access.typed import METRE_NAMES, METRE_UNITS, read_metres, read_worked
from testing.access.typed_fields import MeasureField
from testing.asked.fit import WEARERS, fit_words
from testing.results.extras import CountAsked
from testing.results.photo_uses import USES, consent_words
from testing.results.question_forms import question_helper

OTHER_UNIT = {"m": "For yards write 250 yd.", "yd": "For metres write 230 m."}
Entries = dict[str, tuple[dict[str, Any], dict[str, Any]]]  # typed and meant, by name


class WorkedForm(forms.Form):
    """A count that was worked otherwise; without a number it is as the pattern says."""

    count = forms.ChoiceField(label="Which count")

    def __init__(self, *args: Any, counts: Sequence[CountAsked], **options: Any) -> None:
        super().__init__(*args, **options)
        offered = [(one.name, f"{one.label}: the pattern says {one.asks}") for one in counts]
        self.fields["count"].choices = [("", "Choose the count"), *offered]  # type: ignore[attr-defined]
        self.fields["number"] = MeasureField(
            read=read_worked,
            keyboard="numeric",
            label="You worked",
            required=False,
            help_text="A whole number. Leave it empty to say that you worked it as written after all.",
        )
        self.helper = question_helper("Send")


class AlteredForm(GlanceForm):
    """Finished measurements that were altered on purpose."""

    def __init__(self, *args: Any, measurements: Sequence[ValueEntry], **options: Any) -> None:
        super().__init__(*args, **options)
        self.names = {f"altered_{place}": value.name for place, value in enumerate(measurements)}
        for place, value in enumerate(measurements):
            label = escape(value.label)
            self.fields[f"altered_{place}"] = forms.BooleanField(label=label, required=False)
        self.helper = question_helper("Send")

    def entries(self) -> Entries:
        """The ticked ones."""
        return {
            name: ({"altered": True}, {}) for field, name in self.names.items() if self.cleaned_data[field]
        }


class OptionsForm(GlanceForm):
    """The choice made of each option."""

    def __init__(self, *args: Any, offered: Sequence[OptionEntry], **options: Any) -> None:
        super().__init__(*args, **options)
        self.names = {f"option_{place}": option.name for place, option in enumerate(offered)}
        for place, option in enumerate(offered):
            choices = [("", "No answer"), *((choice, choice) for choice in option.choices)]
            label = escape(option.label or option.name)
            self.fields[f"option_{place}"] = forms.ChoiceField(label=label, choices=choices, required=False)
        self.helper = question_helper("Send")

    def entries(self) -> Entries:
        """The choices that were told."""
        told = {name: self.cleaned_data[field] for field, name in self.names.items()}
        return {name: ({"choice": choice}, {"choice": choice}) for name, choice in told.items() if choice}


class MetresForm(GlanceForm):
    """Metres or yards in 100 g of the yarn that was used, by colour."""

    def __init__(self, *args: Any, yarns: Sequence[YarnEntry], units: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.unit = METRE_UNITS[units]
        self.names = {f"colour_{place}": yarn.colour for place, yarn in enumerate(yarns)}
        for place, yarn in enumerate(yarns):
            self.fields[f"colour_{place}"] = MeasureField(
                read=partial(read_metres, unit=self.unit),
                keyboard="decimal",
                label=f"Yarn {yarn.colour}: {METRE_NAMES[self.unit]} in 100 g",
                required=False,
                help_text=escape(
                    f"In place of {yarn.label}. Leave it empty if you used that. {OTHER_UNIT[self.unit]}"
                ),
            )
        self.helper = question_helper("Send")

    def entries(self) -> Entries:
        """The lengths that were told, with the unit in use."""
        told = {name: self.cleaned_data.get(field) for field, name in self.names.items()}
        return {
            name: ({"length": reading.typed, "unit": self.unit}, {"m": reading.number})
            for name, reading in told.items()
            if reading
        }


class FitForm(GlanceForm):
    """How it fits by area, and on whom."""

    on = forms.ChoiceField(
        label="Who wears it?", choices=[("", "No answer"), *WEARERS.items()], required=False
    )

    def __init__(self, *args: Any, areas: Mapping[str, str], **options: Any) -> None:
        super().__init__(*args, **options)
        self.areas = areas
        for area, label in areas.items():
            choices = [("", "No answer"), *fit_words(area).items()]
            self.fields[area] = forms.ChoiceField(label=label, choices=choices, required=False)
        self.helper = question_helper("Send")

    def entries(self) -> Entries:
        """The areas that were told."""
        on = self.cleaned_data["on"]
        told = {area: {"fit": self.cleaned_data[area], "on": on} for area in self.areas}
        return {area: (one, one) for area, one in told.items() if one["fit"]}


class ToolForm(GlanceForm):
    """The hook or needle that was used."""

    text = LineField(
        label="Hook or needle",
        max_length=80,
        required=False,
        help_text="Size and kind, for example: “4.5 mm, bamboo”.",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper = question_helper("Send")

    def entries(self) -> Entries:
        """What was told."""
        text = self.cleaned_data["text"]
        return {"": ({"text": text}, {})} if text else {}


class PhotoUsesForm(GlanceForm):
    """What the studio may use the photos for; nothing unless it is ticked."""

    AGES = (("", "Choose"), ("adult", "18 or older"), ("minor", "Younger than 18"))

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        for use, words in USES.items():
            self.fields[use] = forms.BooleanField(label=f"For {words}", required=False)
        self.fields["credit"] = _name_field("Name beside the photos", "Leave it empty for no name.")
        self.fields["until"] = forms.DateField(
            label="Until",
            required=False,
            help_text="Empty means until I take it back.",
            widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
        )
        self.fields["age"] = forms.ChoiceField(
            label="Everybody in the photos is", choices=self.AGES, required=False
        )
        self.fields["guardian"] = _name_field(
            "Name of the guardian who agrees", "Only if anyone pictured is under 18."
        )
        self.helper = question_helper("Save")

    def clean_until(self) -> dt.date | None:
        """A day that is still to come."""
        until: dt.date | None = self.cleaned_data["until"]
        if until and until < timezone.localdate():
            raise forms.ValidationError("That day is past: choose a later one.")
        return until

    def clean(self) -> dict[str, Any]:
        """An age, and a guardian under 18, for any use."""
        cleaned = super().clean() or {}
        if any(cleaned.get(use) for use in USES):
            if not cleaned.get("age"):
                self.add_error("age", "Please say whether everybody in the photos is 18 or older.")
            elif cleaned["age"] == "minor" and not cleaned.get("guardian"):
                self.add_error(
                    "guardian", "If anyone is under 18, a guardian must agree: please write their name."
                )
        return cleaned

    def entries(self) -> Entries:
        """Each use that is agreed to, in the words of the consent."""
        given, until = self.cleaned_data, self.cleaned_data["until"]
        last = until.isoformat() if until else ""
        typed = {"credit": given["credit"], "until": last, "age": given["age"], "guardian": given["guardian"]}
        meant = {"credit": given["credit"], "until": last}
        return {use: (typed, {**meant, "consent": consent_words(use, until)}) for use in USES if given[use]}


def _name_field(label: str, help_text: str) -> forms.CharField:
    """A name in one line."""
    return LineField(label=label, max_length=80, required=False, help_text=help_text)
