"""The form of a call: what is said, dates, places by size."""

import datetime as dt
from typing import Any

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Div, Field, Fieldset, Layout, Submit
from django import forms
from django.utils.html import format_html

from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.glance_forms import GlanceForm
from grading.entries.single_lines import LineField
from testing.access.typed_fields import day_field
from testing.asked.figures import Figures
from testing.calls.calls import CallWording, Quota
from testing.calls.schedule import (
    PLACES_PER_SPARE,
    Schedule,
    dates_in_order,
    default_schedule,
    moved_midway,
    with_spares,
)
from testing.models import TestCall

MUST_SEND = (
    "{} of each fabric after washing, the finished measurements, yarn used by weight, hours, one photo. "
    "Also a remark wherever a step was unclear or wrong."
)
RULES = (
    "The test copy is for you alone: please do not pass it on. Please show no pictures before the pattern "
    "is out. Questions are answered within two working days."
)
DATES = ("apply_by", "starts_on", "midway_on", "finish_by")
SHOW_TOTAL = "show_total"
LONGEST_NUMBER = 4
HOURS: dict[str, Any] = {"required": False, "min_value": 1, "max_value": 2_000}
SPARES = "<p>Leave “At most” empty for one spare for every three places, or part of three.</p>"


class ScheduleForm(GlanceForm):
    """The four dates of a call."""

    has_moved_midway = False
    apply_by = day_field("Apply by")
    starts_on = day_field("Start")
    midway_on = day_field(
        "Midway",
        "By then testers are about half done. Unless you change it, it moves with the start and the finish.",
    )
    finish_by = day_field("Finish", "Everything is sent in by then.")
    offer_days = forms.IntegerField(
        label="Days to answer an offer",
        min_value=1,
        max_value=60,
        initial=5,
        help_text="Then the offer lapses and the place goes to the next on the waiting list.",
    )
    grace_days = forms.IntegerField(
        label="Days of grace",
        min_value=0,
        max_value=60,
        initial=3,
        help_text="Late reminders wait until these days are over.",
    )

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        self.helper: FormHelper = helper_with("Change the dates")

    def clean(self) -> dict[str, Any]:
        """Move midway with a start or finish that was changed without it; refuse dates out of order."""
        cleaned = super().clean() or {}
        if not self.errors:
            self._move_midway()
        if not self.errors and (trouble := dates_in_order(self.schedule())):
            raise forms.ValidationError(trouble)
        return cleaned

    def _move_midway(self) -> None:
        """Keep midway as far between start and finish, where it alone was left as the page showed it."""
        before = Schedule(*(self.get_initial_for_field(self.fields[name], name) for name in DATES))
        after = self.schedule()
        is_left = after.midway_on == before.midway_on and before.starts_on < before.finish_by
        if is_left and (after.starts_on, after.finish_by) != (before.starts_on, before.finish_by):
            self.cleaned_data["midway_on"] = moved_midway(before, after)
            self.has_moved_midway = True

    def schedule(self) -> Schedule:
        """The dates as entered."""
        return Schedule(*(self.cleaned_data[name] for name in DATES))

    def days(self) -> dict[str, int]:
        """How long an offer holds, and when somebody is late."""
        return {name: self.cleaned_data[name] for name in ("offer_days", "grace_days")}


ASK_LITTLE = "They are a child’s: tick only what you need to choose a size."


class CallForm(ScheduleForm):
    """A new call."""

    invitation = forms.CharField(
        label="Invitation",
        max_length=5_000,
        widget=text_area(6),
        help_text="What will be made, in your own words. For example: “We are looking for makers of a "
        "buttoned waistcoat, an easy project of about 40 hours.”",
    )
    must_send = forms.CharField(label="What a tester sends in", max_length=2_000, widget=text_area(3))
    in_return = forms.CharField(
        label="What a tester gets",
        max_length=2_000,
        required=False,
        widget=text_area(2),
        help_text="For example: “The finished pattern in every edition, and our thanks by name if you like.”",
    )
    rules = forms.CharField(
        label="Rules", max_length=2_000, required=False, widget=text_area(3), initial=RULES
    )
    yarn_from = forms.ChoiceField(
        label="Yarn",
        required=False,
        choices=[("", "Not said"), *TestCall.YARN_FROM],
        help_text="Testers read it before they apply. “Not said” leaves it out.",
    )
    yarn_note = LineField(
        label="More about the yarn",
        max_length=200,
        required=False,
        help_text="For example: “We send yarn A; B and C come from your own stash.”",
    )
    hours_from = forms.IntegerField(label="Hours to reckon with: from", **HOURS)
    hours_to = forms.IntegerField(
        label="Hours to reckon with: to",
        help_text="For example 38 to 60. Leave both empty if you don’t know.",
        **HOURS,
    )
    keep_months = forms.IntegerField(
        label="Keep personal data for … months after the finish",
        min_value=1,
        max_value=36,
        initial=12,
        help_text="Then names, addresses, body measurements and photos are erased; applicants read this.",
    )
    measurements = forms.MultipleChoiceField(
        label="Body measurements that applicants give", required=False, widget=forms.CheckboxSelectMultiple
    )

    def __init__(self, *args: Any, figures: Figures, today: dt.date, **options: Any) -> None:
        options["initial"] = {**vars(default_schedule(today)), **options.get("initial", {})}
        super().__init__(*args, **options)
        self.sizes = figures.pattern.sizes
        self.fields["must_send"].initial = MUST_SEND.format(figures.gauge_word.capitalize())
        choices = [(one.name, one.label) for one in figures.body]
        self.fields["measurements"].choices = choices  # type: ignore[attr-defined]
        if figures.is_for_child:
            self.fields["measurements"].help_text = ASK_LITTLE
        else:
            self.fields["measurements"].initial = [name for name, _ in choices]
        for place, size in enumerate(self.sizes):
            self.fields[f"at_least_{place}"] = self._places(f"{size}: at least", 1)
            self.fields[f"at_most_{place}"] = self._places(f"{size}: at most", None)
        self.only_shown = SHOW_TOTAL in (self.data or {})
        self.helper = FormHelper()
        self.helper.layout = self._layout()

    @staticmethod
    def _places(label: str, initial: int | None) -> forms.IntegerField:
        """A number of places; one that may be left empty has no number to begin with."""
        return forms.IntegerField(
            label=label, min_value=0, max_value=50, initial=initial, required=initial is not None
        )

    def _layout(self) -> Layout:
        """What is said, then dates, then places."""
        pairs = [
            Div(Field(f"at_least_{place}"), Field(f"at_most_{place}"), css_class="field-row places-row")
            for place in range(len(self.sizes))
        ]
        return Layout(
            Fieldset("What the call says", "invitation", "must_send", "in_return", "rules"),
            Fieldset(
                "Yarn and time",
                "yarn_from",
                "yarn_note",
                Div("hours_from", "hours_to", css_class="field-row"),
            ),
            Fieldset("Dates", "apply_by", "starts_on", "midway_on", "finish_by", "offer_days", "grace_days"),
            Fieldset("Places by size", HTML(SPARES), *pairs, HTML(self._total_line())),
            Fieldset("Applicants", "measurements", "keep_months"),
            "seen",
            Submit("send", "Save the call"),
        )

    def _total_line(self) -> str:
        """How many places there are as typed, and the button that counts them again."""
        least = most = 0
        for place in range(len(self.sizes)):
            needed, typed = (self._typed_places(f"{which}_{place}") for which in ("at_least", "at_most"))
            least += needed or 0
            most += with_spares(needed or 0) if typed is None else typed
        return format_html(
            '<p class="actions"><span role="status" data-places-total data-per-spare="{}">'
            "{} {} needed{}</span> "
            '<button class="btn btn-outline-secondary" name="{}" value="1" formnovalidate>'
            "Show the total</button></p>",
            PLACES_PER_SPARE,
            least,
            "place is" if least == 1 else "places are",
            "." if most == least else f"; with spares there {'is' if most == 1 else 'are'} {most} in all.",
            SHOW_TOTAL,
        )

    def _typed_places(self, name: str) -> int | None:
        """A number of places as it was typed, or as the form begins with it; None where it is no number."""
        found = (
            self.data.get(name, "") if self.is_bound else self.get_initial_for_field(self.fields[name], name)
        )
        text = str(found if found is not None else "").strip()
        return int(text) if text.isascii() and text.isdigit() and len(text) <= LONGEST_NUMBER else None

    def clean(self) -> dict[str, Any]:
        """Refuse a least above the most, and a call without places."""
        cleaned = super().clean()
        first, last = cleaned.get("hours_from"), cleaned.get("hours_to")
        if first is not None and last is not None and first > last:
            self.add_error("hours_to", f"The hours begin at {first}: write {first} or more here.")
        for place, size in enumerate(self.sizes):
            least, most = cleaned.get(f"at_least_{place}"), cleaned.get(f"at_most_{place}")
            if least is not None and most is not None and least > most:
                self.add_error(
                    f"at_most_{place}",
                    f"Size {size} needs at least {least}: raise its maximum to that or more.",
                )
        if not self.errors and not any(quota.at_most for quota in self.quotas()):
            raise forms.ValidationError("The call has no places: give at least one size a place.")
        return cleaned

    def terms(self) -> CallWording:
        """What the call says."""
        return CallWording(**{name: self.cleaned_data[name] for name in CallWording.__dataclass_fields__})

    def quotas(self) -> list[Quota]:
        """The places of each size."""
        return [
            Quota(size, least, with_spares(least) if most is None else most)
            for place, size in enumerate(self.sizes)
            for least, most in [
                (self.cleaned_data[f"at_least_{place}"], self.cleaned_data[f"at_most_{place}"])
            ]
        ]


def form_of_call(call: TestCall, figures: Figures) -> dict[str, Any]:
    """A call as its form shows it; a size without places takes nobody."""
    quotas = {quota.size: quota for quota in call.quotas.all()}
    places: dict[str, int] = {}
    for place, size in enumerate(figures.pattern.sizes):
        quota = quotas.get(size)
        places |= {f"at_least_{place}": quota.at_least if quota else 0}
        places |= {f"at_most_{place}": quota.at_most if quota else 0}
    return {**vars(call), **places}
