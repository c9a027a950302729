"""The forms of what a tester sends in: one question each."""

import json
from collections.abc import Sequence
from functools import partial
from itertools import groupby
from typing import Any

from django import forms
from django.utils.html import escape

from catalogue.photos.pictures import MOST_BYTES
from catalogue.studio.form_parts import text_area
from catalogue.studio.glance_forms import GlanceForm
from grading.core.pattern.pattern import FabricEntry, ValueEntry, YarnEntry
from grading.entries.single_lines import TOO_LONG, LineField
from testing.access.typed import (
    GAUGE_SPAN_MM,
    GAUGE_SPAN_NAMES,
    LENGTH_KEYBOARDS,
    UNIT_NAMES,
    read_count,
    read_hours,
    read_length_mm,
    read_weight_g,
)
from testing.access.typed_fields import MeasureField
from testing.asked.gauge_advice import rows_word
from testing.asked.step_helps import StepHelp
from testing.results.counted_rows import CountedRow
from testing.results.question_forms import question_helper

Typed = dict[str, Any]
LONG = {"max_length": TOO_LONG}
EMPTY = {"empty": "The file is empty: choose the picture again."}


class GaugeForm(GlanceForm):
    """Stitches and rows of one fabric over 10 cm or 4 in, after washing."""

    asked_in = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, units: str, fabric: FabricEntry, **options: Any) -> None:
        super().__init__(*args, **options)
        self.units = units
        self.initial["asked_in"] = units
        words = {"stitches": "Stitches", "rows": rows_word(fabric.label).capitalize()}
        span = GAUGE_SPAN_NAMES[units]
        for name in ("stitches", "rows"):
            label = f"{words[name]} over {span}"
            self.fields[name] = MeasureField(read=read_count, label=label, keyboard="decimal")
        self.helper = question_helper("Send")

    def typed(self) -> Typed:
        """As typed."""
        names = ("stitches", "rows")
        return {
            **{name: self.cleaned_data[name].typed for name in names},
            "over": GAUGE_SPAN_NAMES[self.units],
        }

    def meant(self) -> Typed:
        """Stitches and rows per mm."""
        span_mm = GAUGE_SPAN_MM[self.units]
        return {name: self.cleaned_data[name].number / span_mm for name in ("stitches", "rows")}


class MeasuredForm(GlanceForm):
    """One finished measurement."""

    asked_in = forms.CharField(required=False, widget=forms.HiddenInput)

    def __init__(self, *args: Any, value: ValueEntry, units: str, **options: Any) -> None:
        super().__init__(*args, **options)
        self.units = units
        self.initial["asked_in"] = units
        self.fields["length"] = MeasureField(
            read=partial(read_length_mm, unit=units),
            label=f"{value.label}, in {UNIT_NAMES[units]}",
            keyboard=LENGTH_KEYBOARDS[units],
        )
        self.helper = question_helper("Send")

    def typed(self) -> Typed:
        """As typed, with the unit in use."""
        return {"length": self.cleaned_data["length"].typed, "unit": self.units}

    def meant(self) -> Typed:
        """Length in mm."""
        return {"mm": self.cleaned_data["length"].number}


class YarnUsedForm(GlanceForm):
    """Yarn used, by weighing what is left, in grams for each colour."""

    def __init__(self, *args: Any, yarns: tuple[YarnEntry, ...], **options: Any) -> None:
        super().__init__(*args, **options)
        self.colours = {f"colour_{place}": yarn.colour for place, yarn in enumerate(yarns)}
        for place, yarn in enumerate(yarns):
            self.fields[f"colour_{place}"] = MeasureField(
                read=read_weight_g,
                keyboard="decimal",
                label=f"{yarn.colour}, grams used",
                required=False,
                help_text=escape(f"{yarn.label}. Leave it empty when you did not use it."),
            )
        self.helper = question_helper("Send")

    def clean(self) -> dict[str, Any]:
        """At least one colour must be weighed."""
        cleaned = super().clean() or {}
        if not self.errors and not any(cleaned.get(name) for name in self.colours):
            raise forms.ValidationError("Please weigh at least one colour.")
        return cleaned

    def entries(self) -> dict[str, tuple[Typed, Typed]]:
        """Typed and meant (g) for each colour that was weighed."""
        readings = {colour: self.cleaned_data.get(name) for name, colour in self.colours.items()}
        return {
            colour: ({"weight": reading.typed}, {"g": reading.number})
            for colour, reading in readings.items()
            if reading
        }


class HoursForm(GlanceForm):
    """Hours of work."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.fields["hours"] = MeasureField(
            read=read_hours,
            keyboard="decimal",
            label="Hours you worked on it",
            help_text="A good guess is enough.",
        )
        self.helper = question_helper("Send")

    def typed(self) -> Typed:
        """As typed."""
        return {"hours": self.cleaned_data["hours"].typed}

    def meant(self) -> Typed:
        """Hours as a number."""
        return {"hours": self.cleaned_data["hours"].number}


class NoteForm(forms.Form):
    """Anything else."""

    text = forms.CharField(label="Your note", max_length=4_000, widget=text_area(6), error_messages=LONG)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper = question_helper("Send")


PICTURES_ONLY = {"accept": "image/jpeg,image/png,image/webp", "data-most-bytes": str(MOST_BYTES)}


class PhotoForm(forms.Form):
    """A picture, which may have come in pieces before, and what it shows."""

    photo = forms.FileField(
        label="Photo",
        required=False,
        error_messages=EMPTY,
        help_text=(
            "JPEG, PNG or WebP. If it is a HEIC picture, share it as JPEG first. "
            "Place and device data are taken out before it is kept."
        ),
        widget=forms.FileInput(attrs={**PICTURES_ONLY, "required": True}),
    )
    kept = forms.SlugField(required=False, max_length=40, widget=forms.HiddenInput)
    alt = LineField(
        label="What it shows",
        max_length=300,
        help_text="For example: “The front, worn, size M.”",
    )
    remark = forms.CharField(
        label="Remark (optional)",
        required=False,
        max_length=2_000,
        widget=text_area(3),
        error_messages=LONG,
        help_text="Does anything look wrong? Say what and where.",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper = question_helper("Send")


class PhotoChangeForm(PhotoForm):
    """Another picture in the place of one, or other words about it."""

    remark = None  # type: ignore[assignment]  # it was sent with the picture, and stands among the notes
    photo = forms.FileField(
        label="Another picture in its place",
        required=False,
        error_messages=EMPTY,
        help_text="Leave it empty to keep the picture.",
        widget=forms.FileInput(attrs=PICTURES_ONLY),
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper = question_helper("Send")


class RemarkChangeForm(forms.Form):
    """Other words of a remark."""

    text = forms.CharField(label="Your remark", max_length=2_000, widget=text_area(4), error_messages=LONG)

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper = question_helper("Send")


class CountedForm(forms.Form):
    """The stitches that a maker has after a row; it carries the counts that were there when it was opened."""

    seen = forms.CharField(required=False, widget=forms.HiddenInput)
    row = forms.ChoiceField(label="Step")
    at = forms.IntegerField(
        label="Row or round in this step",
        required=False,
        min_value=1,
        max_value=9_999,
        help_text="Use the number that the step prints. Where it prints none, count from the beginning of "
        "the step. Leave it empty for the end of the step.",
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"), "Write a whole number, 1 or more, or leave it empty."
        ),
    )
    stitches = forms.IntegerField(
        label="Stitches that you have",
        min_value=0,
        max_value=9_999,
        help_text="For example: 73",
        error_messages=dict.fromkeys(
            ("invalid", "min_value", "max_value"), "Write a whole number, 0 to 9999."
        ),
    )

    def __init__(self, *args: Any, rows: Sequence[CountedRow], **options: Any) -> None:
        super().__init__(*args, **options)
        self.rows = {row.name: row for row in rows}
        sections = [
            (title, [(row.name, row.in_section) for row in of])
            for title, of in groupby(rows, lambda row: row.title)
        ]
        self.fields["row"].choices = [("", "Choose the step"), *sections]  # type: ignore[attr-defined]
        self.helper = question_helper("Send")

    def clean(self) -> dict[str, Any]:
        """A row of a step is one that the step has."""
        cleaned = super().clean() or {}
        row, at = self.rows.get(cleaned.get("row", "")), cleaned.get("at")
        if row and at and row.has_rows and at > len(row.counts):
            most = len(row.counts)
            self.add_error(
                "at", f"This step has {most} rows: write 1 to {most}, or leave it empty for its end."
            )
        return cleaned

    @property
    def counted(self) -> CountedRow:
        """The row that was counted after."""
        return self.rows[self.cleaned_data["row"]].at(self.cleaned_data["at"])


class RemarkForm(forms.Form):
    """A remark on a step."""

    place = forms.ChoiceField(label="Step")
    text = forms.CharField(
        label="Your remark",
        max_length=2_000,
        widget=text_area(4),
        error_messages=LONG,
        help_text="For example: “Row 7: I can’t see which stitch is the last one.”",
    )

    def __init__(
        self,
        *args: Any,
        steps: list[tuple[str, list[tuple[str, str]]]],
        helps: Sequence[StepHelp] = (),
        stuck_at: str = "",
        **options: Any,
    ) -> None:
        super().__init__(*args, **options)
        self.helps = {one.code: one for one in helps}
        self.fields["place"].choices = [("", "Choose the step"), *steps]  # type: ignore[attr-defined]
        if self.helps:
            self.fields["help"] = self._help_field()
            self.order_fields(["place", "help", "text"])
        if stuck_at in self.helps:
            self.initial = {**self.initial, "help": stuck_at, "place": self.helps[stuck_at].places[0]}
        self.helper = question_helper("Send the remark")

    def _help_field(self) -> forms.ChoiceField:
        """At which help somebody was stuck; a script shows those of the step alone."""
        steps: dict[str, list[str]] = {}
        for one in self.helps.values():
            for place in one.places:
                steps.setdefault(place, []).append(one.code)
        return forms.ChoiceField(
            label="Were you stuck at a help?",
            required=False,
            choices=[
                ("", "No"),
                *((one.code, f"Help {one.number}: {one.title}") for one in self.helps.values()),
            ],
            widget=forms.Select(attrs={"data-step-helps": json.dumps(steps)}),
            help_text="Its number is beside the step. Leave it at “No” if the help was fine.",
        )

    def clean(self) -> dict[str, Any]:
        """A help belongs to a step that names it."""
        cleaned = super().clean() or {}
        chosen = self.helps.get(cleaned.get("help", ""))
        if chosen and "place" in cleaned and cleaned["place"] not in chosen.places:
            says = f"Help {chosen.number} is not at this step: choose a step that names it, or choose “No”."
            self.add_error("help", says)
        return cleaned
