"""The public application form, and the one that changes what was sent."""

from functools import partial
from typing import Any, cast

from crispy_forms.bootstrap import StrictButton
from crispy_forms.helper import FormHelper
from crispy_forms.layout import HTML, Div, Fieldset, Layout, Submit
from django import forms
from django.core.exceptions import ValidationError
from django.http import QueryDict
from django.utils.html import escape

from catalogue.studio.form_parts import text_area
from catalogue.studio.glance_forms import GlanceForm
from catalogue.studio.mail_addresses import MailAddressField
from catalogue.studio.person_names import no_link
from grading.entries.single_lines import TOO_LONG, LineField
from testing.access.typed import TypedError, as_typed, read_length_mm
from testing.access.typed_fields import TypedMeasure
from testing.applications.applications import Answers
from testing.applications.body_pictures import body_picture, way_in_words, way_of_tape
from testing.applications.doubts import (
    OTHER_UNIT,
    Question,
    far_question,
    unit_question,
    unit_slips,
    wish_question,
)
from testing.applications.size_tables import SizeTable
from testing.asked.bodies import size_bodies
from testing.asked.figures import call_figures
from testing.calls.consent import written_day
from testing.models import Application, TestCall

PICTURE = '{% include "testing/_body.html" with picture=form.picture only %}'
SIZES = (
    '{% if not is_preview %}{% include "testing/_size_bodies.html" with table=form.table only %}{% endif %}'
)
WORN_BY_CHILD = "The child who will wear it"
WISHES = (("wish_1", "First choice"), ("wish_2", "Second choice"), ("wish_3", "Third choice"))


def _fold(title: str, *of: str | HTML) -> Div:
    """What may be left out: folded up on a phone, unless something stands in a field or is wrong there."""
    fields = [f"form.{one}.value or form.{one}.errors" for one in of if isinstance(one, str)]
    is_open = f"{{% if {' or '.join(fields)} %}} open{{% endif %}}" if fields else ""
    begin = f'<details class="narrow-fold"{is_open}><summary>{title}</summary>'
    return Div(HTML(begin), *of, HTML("</details>"))


class ApplicationForm(GlanceForm):
    """Everything that the call asks of an applicant, and consent; what looks like a slip is asked about."""

    name = LineField(
        label="Your name",
        max_length=80,
        validators=[no_link],
        help_text="As you would like to be called.",
    )
    email = MailAddressField(label="E-mail address", max_length=254)
    units = forms.ChoiceField(
        label="I measure in",
        choices=[("cm", "centimetres"), ("in", "inches")],
        widget=forms.RadioSelect,
        help_text="Write “96”, “96.5” or “37 1/2”.",
    )
    wish_1 = forms.ChoiceField(label="First choice")
    wish_2 = forms.ChoiceField(label="Second choice (optional)", required=False)
    wish_3 = forms.ChoiceField(label="Third choice (optional)", required=False)
    yarn = LineField(label="Yarn you would use (optional)", max_length=200, required=False)
    tool = LineField(label="Hook or needle you have", max_length=80, required=False)
    experience = forms.TypedChoiceField(
        label="How much have you made before?",
        choices=[("", "Choose one"), *Application.EXPERIENCE],
        coerce=int,
    )
    access_needs = forms.CharField(
        label="Anything you need from us? (optional)",
        max_length=1_000,
        error_messages={"max_length": TOO_LONG},
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

    about_you: tuple[str, ...] = ("name", "email")
    agreed: tuple[str, ...] = ("consent", "may_ask_again")
    button = "Apply for a place"

    def __init__(
        self, *args: Any, call: TestCall, consent: str, looks_at: str, action: str, **options: Any
    ) -> None:
        super().__init__(*args, **options)
        self.call, self.looks_at = call, looks_at
        figures = call_figures(call)
        self.fields["tool"].label = f"{figures.tool.capitalize()} you have (optional)"
        self.body = [one for one in figures.body if one.name in call.measurements]
        self.bodies = size_bodies(call, figures)
        self.body_mm: dict[str, float] = {}
        self.is_for_child = figures.is_for_child
        # The figure is an adult's; for a child the ways of the tape are said in words alone.
        self.picture = body_picture([] if self.is_for_child else self.body)
        self.questions: list[str] = []
        self.looked_at: list[str] = []
        self.answered: list[str] = []
        sizes = [(quota.size, quota.size) for quota in call.quotas.all()]
        for name, _ in WISHES:
            blank = [("", "Choose a size" if name == "wish_1" else "None")]
            self.fields[name].choices = blank + sizes  # type: ignore[attr-defined]
        self._add_body_fields()
        self.fields["consent"].help_text = escape(consent)
        self.helper = FormHelper()
        self.sent_to = action
        self.helper.layout = self._layout()

    @property
    def table(self) -> SizeTable:
        """The bodies that the sizes are made for, beside what was typed as far as it can be read."""
        units = self.data.get("units") if self.is_bound else self.initial.get("units")
        return SizeTable(self.call, self.bodies, "in" if units == "in" else "cm", self.body_mm)

    def look(self, sent: QueryDict) -> None:
        """Read the measurements for the table, and keep everything that was typed; nothing is refused yet."""
        self.helper.form_action = self.sent_to
        self.initial.update({name: sent.get(name, "") for name in self.fields if name in sent})
        units = "in" if sent.get("units") == "in" else "cm"
        body = {}
        for one in self.body:
            typed = sent.get(f"body_{one.name}", "")
            try:
                body[one.name] = TypedMeasure(typed, read_length_mm(typed, units))
            except TypedError:
                continue
        if slips := unit_slips(self.bodies, body, units):
            body = self._look_at_units(body, slips, units, said=sent.get("sure_units", ""))
        self.body_mm = {name: one.number for name, one in body.items()}

    def clean(self) -> dict[str, Any]:
        """Read the measurements in the chosen units; a size can be wished for once; ask about slips."""
        cleaned = super().clean() or {}
        read = partial(read_length_mm, unit=cleaned.get("units") or "cm")
        for one in self.body:
            name = f"body_{one.name}"
            if name in cleaned:
                self._read_body(name, cleaned, read)
        wishes = [cleaned[name] for name, _ in WISHES if cleaned.get(name)]
        if len(set(wishes)) < len(wishes):
            self.add_error("wish_2", "Choose each size only once.")
        if not self.errors:
            self._ask(cleaned)
        return cleaned

    def ask_again(self) -> None:
        """Take the tick at the consent away: it was given to other words."""
        typed = cast("QueryDict", self.data).copy()
        typed.pop("consent", None)
        self.data = typed

    def answers(self) -> Answers:
        """What was written, ready to be stored."""
        cleaned = self.cleaned_data
        readings = {one.name: cleaned[f"body_{one.name}"] for one in self.body}
        plain = ("name", "units", "yarn", "tool", "experience", "access_needs", "may_ask_again")
        return Answers(
            **{name: cleaned[name] for name in plain},
            email=cleaned.get("email", ""),
            body_mm={name: reading.number for name, reading in readings.items()},
            typed_body={name: reading.typed for name, reading in readings.items()},
            sizes=[cleaned[name] for name, _ in WISHES if cleaned.get(name)],
        )

    def _add_body_fields(self) -> None:
        """A line for each measurement, with how to measure it, why, and until when it is kept."""
        until = f"erased on {written_day(self.call.erase_on)} at the latest."
        for one in self.body:
            way = way_in_words(self.picture, one.name) or way_of_tape(one.name)
            use = "Used to choose a size" if self.is_for_child else "Used to choose a size for you"
            self.fields[f"body_{one.name}"] = LineField(
                label=one.label, max_length=40, help_text=f"{way} {use}; {until}".strip()
            )
        needs = self.fields["access_needs"]
        needs.help_text = f"{needs.help_text} Used to look after you; {until}"

    def _layout(self) -> Layout:
        """What is asked about, about you, your measurements, your wishes, consent."""
        again = Submit("send", self.button, css_id="send-answered")
        asked = [Fieldset("Before it is sent", *self.questions, again)] if self.questions else []
        looked = [*self.looked_at, *self._look_button()] if self.looked_at else []
        picture = [_fold("Where to lay the tape", HTML(PICTURE))] if self.picture.lines else []
        first, *more = (name for name, _ in WISHES)
        wishes = [first, _fold("Second and third choice, if you like", *more)]
        extra = _fold("Yarn, tool and what you need from us, if you like", "yarn", "tool", "access_needs")
        measures = [*picture, "units", *(f"body_{one.name}" for one in self.body)]
        return Layout(
            *asked,
            Fieldset("About you", *self.about_you),
            Fieldset(
                WORN_BY_CHILD if self.is_for_child else "Body measurements", *measures, *self._look_button()
            ),
            Fieldset("Sizes you would make", HTML(SIZES), *looked, *wishes),
            Fieldset("Experience and yarn", "experience", extra),
            Fieldset("Your consent", *self.agreed),
            "seen",
            *self.answered,
            Submit("send", self.button),
        )

    def _look_button(self) -> list[StrictButton]:
        """The button that marks the size which fits; nothing is sent by it."""
        if not self.bodies.labels:
            return []
        return [
            StrictButton(
                "Which size fits the child?" if self.is_for_child else "Which size fits me?",
                type="submit",
                css_class="btn-outline-primary",
                formnovalidate="formnovalidate",
                formaction=f"{self.looks_at}#sizes",
            )
        ]

    def _read_body(self, name: str, cleaned: dict[str, Any], read: Any) -> None:
        """Turn one measurement into a Reading, or say what is wrong with it."""
        typed = cleaned[name]
        try:
            cleaned[name] = TypedMeasure(typed, read(typed))
        except TypedError as error:
            self.add_error(name, ValidationError(error.says))

    def _ask(self, cleaned: dict[str, Any]) -> None:
        """Ask about what looks like a slip, one thing after another, unless it was answered."""
        body = self._in_meant_units(cleaned)
        self.body_mm = {name: one.number for name, one in body.items()}
        if self.questions:
            return
        far = far_question(self.bodies, body, cleaned["units"])
        if far and not self._answer("sure_far", far):
            return
        wish = wish_question(self.bodies, self.body_mm, cleaned["wish_1"], cleaned["units"])
        if wish and self._answer("sure_wish", wish) == wish.first:
            nearest = self.bodies.nearest(self.body_mm)
            given = [cleaned[name] for name, _ in WISHES if cleaned.get(name)]
            for (name, _), size in zip(WISHES, [*dict.fromkeys([nearest, *given]), "", ""], strict=False):
                cleaned[name] = size

    def _in_meant_units(self, cleaned: dict[str, Any]) -> dict[str, TypedMeasure]:
        """The measurements in the units that they are meant in, once that was answered."""
        body = {one.name: cleaned[f"body_{one.name}"] for one in self.body}
        slips = unit_slips(self.bodies, body, cleaned["units"])
        if not slips:
            return body
        question = unit_question(self.bodies, slips, cleaned["units"])
        if self._answer("sure_units", question) != question.first:
            return body
        meant = _with_units(body, slips, cleaned["units"])
        typed = cast("QueryDict", self.data).copy()  # the page shows it so, should something else be asked
        typed["units"] = cleaned["units"] = OTHER_UNIT[cleaned["units"]]
        for name, one in meant.items():
            cleaned[f"body_{name}"] = one
            typed[f"body_{name}"] = one.typed
        self.data = typed
        return meant

    def _look_at_units(
        self, body: dict[str, TypedMeasure], slips: dict[str, TypedMeasure], units: str, *, said: str
    ) -> dict[str, TypedMeasure]:
        """While nothing is sent yet: asked beneath the table; what was answered stands in the form."""
        question = unit_question(self.bodies, slips, units)
        if said == question.first:
            body = _with_units(body, slips, units)
            self.initial.update({f"body_{name}": one.typed for name, one in body.items()})
            self.initial["units"] = OTHER_UNIT[units]
        elif said in question.answers:
            self._keep_answer("sure_units", said)
        else:
            self.looked_at.append("sure_units")
            self._add_question("sure_units", question)
        return body

    def _answer(self, name: str, question: Question) -> str:
        """The answer to a question; where there is none to this very one it is asked, and nothing sent."""
        sent = str(self.data.get(name, ""))
        if sent in question.answers:
            self._keep_answer(name, sent)
            return sent
        self.questions.append(name)
        self._add_question(name, question)
        self.add_error(name, "Nothing was sent yet: please choose.")
        return ""

    def _add_question(self, name: str, question: Question) -> None:
        """A question with its answers to choose from, where the layout has it."""
        self.fields[name] = forms.ChoiceField(
            label=question.label,
            help_text=escape(question.why),
            choices=list(question.answers.items()),
            widget=forms.RadioSelect,
        )
        self.helper.layout = self._layout()

    def _keep_answer(self, name: str, said: str) -> None:
        """An answer goes along unseen: the next question would else forget it."""
        self.fields[name] = forms.CharField(initial=said, widget=forms.HiddenInput)
        self.answered.append(name)
        self.helper.layout = self._layout()


class ApplicationChangeForm(ApplicationForm):
    """What an applicant sent, to be changed; the address and the consent stay."""

    about_you = ("name",)
    agreed = ("may_ask_again",)
    button = "Save the changes"

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        del self.fields["email"], self.fields["consent"]


def _with_units(
    body: dict[str, TypedMeasure], slips: dict[str, TypedMeasure], units: str
) -> dict[str, TypedMeasure]:
    """The measurements as they are meant, each with its unit: those that were no slips are in `units`."""
    return {
        name: slips.get(name) or TypedMeasure(as_typed(one.typed, units), one.number)
        for name, one in body.items()
    }


def typed_application(application: Application) -> dict[str, Any]:
    """What somebody sent, as it stands in the form."""
    wishes = {name: size for (name, _), size in zip(WISHES, application.sizes, strict=False)}
    body = {f"body_{name}": typed for name, typed in application.typed_body.items()}
    plain = ("name", "units", "yarn", "tool", "experience", "access_needs", "may_ask_again")
    return {**{name: getattr(application, name) for name in plain}, **wishes, **body}
