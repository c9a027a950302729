"""The public application form."""

from functools import partial
from typing import Any, cast

from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Fieldset, Layout, Submit
from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.html import escape

from catalogue.studio.form_parts import text_area
from catalogue.studio.glance_forms import GlanceForm
from catalogue.studio.mail_addresses import MailAddressField
from catalogue.studio.person_names import no_link
from grading.core.pattern.pattern import BodyEntry
from grading.entries.single_lines import LineField
from testing.access.typed import TypedError, read_length_mm
from testing.access.typed_fields import TypedMeasure
from testing.applications.applications import Answers
from testing.applications.body_pictures import body_picture, way_in_words
from testing.calls.consent import written_day
from testing.models import Application, TestCall

PICTURE = '{% include "testing/_body.html" with picture=form.picture only %}'
WISHES = (("wish_1", "First wish"), ("wish_2", "Second wish"), ("wish_3", "Third wish"))


class ApplicationForm(GlanceForm):
    """Everything that the call asks of an applicant, and consent."""

    name = LineField(
        label="Your name",
        max_length=80,
        validators=[no_link],
        help_text="As you would like to be called.",
    )
    email = MailAddressField(label="E-mail address", max_length=254)
    units = forms.ChoiceField(
        label="I measure in", choices=[("cm", "centimetres"), ("in", "inches")], widget=forms.RadioSelect
    )
    wish_1 = forms.ChoiceField(label="First wish")
    wish_2 = forms.ChoiceField(label="Second wish", required=False)
    wish_3 = forms.ChoiceField(label="Third wish", required=False)
    yarn = LineField(label="Yarn you would use", max_length=200, required=False)
    tool = LineField(label="Hook or needle you have", max_length=80, required=False)
    experience = forms.TypedChoiceField(
        label="How much have you made?", choices=Application.EXPERIENCE, coerce=int, initial=1
    )
    access_needs = forms.CharField(
        label="What would help you?",
        max_length=1_000,
        required=False,
        widget=text_area(3),
        help_text="For example large print, or more time. It plays no part in choosing.",
    )
    may_ask_again = forms.BooleanField(
        label="You may ask me again for later calls",
        required=False,
        help_text="Then the studio may write to this address about later calls while it keeps it. You can "
        "take this back whenever you like.",
    )
    consent = forms.BooleanField(
        label="I agree", error_messages={"required": "Without your consent we can't take the application."}
    )

    def __init__(
        self, *args: Any, call: TestCall, body: tuple[BodyEntry, ...], consent: str, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.body = [one for one in body if one.name in call.measurements]
        self.picture = body_picture(self.body)
        sizes = [(quota.size, quota.size) for quota in call.quotas.all()]
        for name, _ in WISHES:
            blank = [("", "Choose a size" if name == "wish_1" else "None")]
            self.fields[name].choices = blank + sizes  # type: ignore[attr-defined]
        until = f"erased on {written_day(call.erase_on)} at the latest."
        purpose = f"Used to choose a size for you; {until}"
        for one in self.body:
            self.fields[f"body_{one.name}"] = LineField(
                label=one.label,
                max_length=40,
                help_text=f"{way_in_words(self.picture, one.name)} {purpose}".strip(),
            )
        needs = self.fields["access_needs"]
        needs.help_text = f"{needs.help_text} Used to look after you; {until}"
        self.helper = FormHelper()
        self.helper.layout = self._layout()
        self.fields["consent"].help_text = escape(consent)

    def _layout(self) -> Layout:
        """About you, your measurements, your wishes, consent."""
        picture = [HTML(PICTURE)] if self.picture.lines else []
        measures = [*picture, "units", *(f"body_{one.name}" for one in self.body)]
        return Layout(
            Fieldset("About you", "name", "email"),
            Fieldset("Body measurements", *measures),
            Fieldset("Sizes you would make", *(name for name, _ in WISHES)),
            Fieldset("Yarn and experience", "yarn", "tool", "experience", "access_needs"),
            Fieldset("Your consent", "consent", "may_ask_again"),
            "seen",
            Submit("send", "Apply for a place"),
        )

    def clean(self) -> dict[str, Any]:
        """Read the measurements in the chosen units; a size can be wished for once."""
        cleaned = super().clean() or {}
        read = partial(read_length_mm, unit=cleaned.get("units") or "cm")
        for one in self.body:
            name = f"body_{one.name}"
            if name in cleaned:
                self._read_body(name, cleaned, read)
        wishes = [cleaned[name] for name, _ in WISHES if cleaned.get(name)]
        if len(set(wishes)) < len(wishes):
            self.add_error("wish_2", "Each size can be wished for once only.")
        return cleaned

    def _read_body(self, name: str, cleaned: dict[str, Any], read: Any) -> None:
        """Turn one measurement into a Reading, or say what is wrong with it."""
        typed = cleaned[name]
        try:
            cleaned[name] = TypedMeasure(typed, read(typed))
        except TypedError as error:
            self.add_error(name, ValidationError(error.says))

    def ask_again(self) -> None:
        """Take the tick at the consent away: it was given to other words."""
        typed = cast("QueryDict", self.data).copy()
        typed.pop("consent", None)
        self.data = typed

    def answers(self) -> Answers:
        """What was written, ready to be stored."""
        cleaned = self.cleaned_data
        readings = {one.name: cleaned[f"body_{one.name}"] for one in self.body}
        plain = ("name", "email", "units", "yarn", "tool", "experience", "access_needs", "may_ask_again")
        return Answers(
            **{name: cleaned[name] for name in plain},
            body_mm={name: reading.number for name, reading in readings.items()},
            typed_body={name: reading.typed for name, reading in readings.items()},
            sizes=[cleaned[name] for name, _ in WISHES if cleaned.get(name)],
        )
