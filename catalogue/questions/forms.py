"""Forms of makers' questions."""

import datetime as dt
from collections.abc import Sequence
from typing import Any

from django import forms
from django.utils import timezone

from catalogue.models import Erratum, MakerQuestion, Pattern, Version
from catalogue.questions.pasted import sent_day, without_sender
from catalogue.questions.questions import first_questions
from catalogue.questions.shown import LONGEST_QUESTION
from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.mail_addresses import MailAddressField
from catalogue.studio.person_names import no_link
from catalogue.versions.standings import found_places
from grading.entries.single_lines import LineField

MOST_OFFERED, LONGEST_LABEL = 100, 90
ASKER = ("name", "email")


class QuestionForm(forms.Form):
    """A question as it came, without who asked unless that is wanted."""

    says = forms.CharField(
        label="The question",
        max_length=4_000,
        widget=text_area(6),
        help_text="Paste the e-mail. Evenrow leaves out head, subject, greeting, closing, signature and "
        "addresses. Its date becomes the day asked. Read what is kept once more.",
    )
    version = forms.ModelChoiceField(Version.objects.none(), label="About version", empty_label=None)
    place = forms.ChoiceField(label="Where", required=False)
    asked_on = forms.DateField(
        label="Asked on", widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d")
    )
    same_as = forms.ModelChoiceField(
        MakerQuestion.objects.none(),
        label="Asked before",
        required=False,
        empty_label="no, it is a new question",
        help_text="If it was asked before, there is an answer already.",
    )
    name = LineField(
        label="Who asked",
        required=False,
        max_length=120,
        help_text="Leave it empty unless you want to write back. Designers alone see it.",
    )
    email = MailAddressField(label="Their e-mail address", required=False, max_length=254)

    def __init__(
        self, data: Any = None, *, pattern: Pattern, spots: Sequence[Any], initial: Any, is_designer: bool
    ) -> None:
        super().__init__(data, initial={"asked_on": timezone.localdate(), **initial})
        self.sent_on: dt.date | None = None
        version, place, same = self.fields["version"], self.fields["place"], self.fields["same_as"]
        published = pattern.versions.filter(state="published").defer("record")
        version.queryset = published.order_by("-major", "-minor")  # type: ignore[attr-defined]
        version.label_from_instance = lambda one: one.number  # type: ignore[attr-defined]
        place.choices = [("", "the whole pattern"), *spots]  # type: ignore[attr-defined]
        offered = first_questions(pattern)[:MOST_OFFERED]
        same.queryset = first_questions(pattern)  # type: ignore[attr-defined]
        same.choices = [("", "no, it is a new question"), *((one.pk, _label(one)) for one in offered)]  # type: ignore[attr-defined]
        if not is_designer:
            for name in ASKER:
                del self.fields[name]
        self.helper = helper_with("Keep the question")

    def clean_says(self) -> str:
        """The words without who wrote them."""
        self.sent_on = sent_day(self.cleaned_data["says"], timezone.localdate())
        kept = without_sender(self.cleaned_data["says"])
        if not kept:
            raise forms.ValidationError(
                "Nothing is left after removing head, greeting and signature: paste the question itself."
            )
        return kept

    def clean_asked_on(self) -> Any:
        """Nobody asks tomorrow; where the day was left as offered, that of the e-mail counts."""
        day = self.cleaned_data["asked_on"]
        if self.sent_on and "asked_on" not in self.changed_data:
            return self.sent_on
        if day > timezone.localdate():
            raise forms.ValidationError("This day is in the future: give the day on which it was asked.")
        return day


class AskForm(forms.Form):
    """A question of a visitor, and where the answer goes; `leave_empty` is out of sight."""

    question = forms.CharField(
        label="Your question",
        max_length=2_000,
        widget=text_area(5),
        help_text="Name the row or round, if it is about one.",
    )
    where = LineField(
        label="Where in the pattern (optional)",
        required=False,
        max_length=120,
        help_text="As your copy says it: “Sleeve, step 3”, or “What you need”.",
    )
    size = forms.ChoiceField(label="Your size (optional)", required=False)
    email = MailAddressField(label="Your e-mail address", max_length=254, help_text="For the answer.")
    name = LineField(label="Your name (optional)", required=False, max_length=80, validators=[no_link])
    leave_empty = LineField(required=False, max_length=500)

    def __init__(self, data: Any = None, *, sizes: Sequence[str], size: str, place: str) -> None:
        super().__init__(data, initial={"size": size})
        self.fields["size"].choices = [("", "not chosen yet"), *((one, one) for one in sizes)]  # type: ignore[attr-defined]
        if place:  # the address names the step
            del self.fields["where"]


class WordsForm(forms.Form):
    """The kept words of a question, read again."""

    says = forms.CharField(label="The question", max_length=4_000, widget=text_area(4))

    def __init__(self, data: Any = None, *, initial: Any = None) -> None:
        super().__init__(data, initial=initial)
        self.helper = helper_with("Save the words", is_second=True)


class AnswerForm(forms.Form):
    """The answer, once for all who ask the same."""

    answer = forms.CharField(
        required=False,
        max_length=4_000,
        widget=text_area(5),
        help_text="Written once. Copy it into your e-mail to everybody who asks this.",
    )

    def __init__(self, data: Any = None, *, initial: Any = None) -> None:
        super().__init__(data, initial=initial)
        self.helper = helper_with("Save the answer")


class ShowForm(forms.Form):
    """The question as visitors of the pattern's page read it, above its answer."""

    shown_as = forms.CharField(
        label="The question as visitors read it",
        max_length=LONGEST_QUESTION,
        widget=text_area(3),
        help_text="Say it in your own words. Nothing on the page tells who asked.",
    )

    def __init__(self, data: Any = None, *, initial: Any = None) -> None:
        super().__init__(data, initial=initial)
        self.helper = helper_with("Show it with its answer on the pattern’s page", is_second=True)


class OutcomeForm(forms.Form):
    """What was done about a question: the erratum made of it, or the version whose step is clearer."""

    erratum = forms.ModelChoiceField(
        Erratum.objects.none(), label="The erratum made of it", required=False, empty_label="none"
    )
    clearer_in = forms.ModelChoiceField(
        Version.objects.none(),
        label="The step is clearer in version",
        required=False,
        empty_label="none yet",
        help_text="You then see here whether fewer makers ask.",
    )

    def __init__(self, data: Any = None, *, question: MakerQuestion) -> None:
        super().__init__(data, initial={"erratum": question.erratum_id, "clearer_in": question.clearer_in_id})
        erratum, clearer = self.fields["erratum"], self.fields["clearer_in"]
        erratum.queryset = question.pattern.errata.order_by("-pk")  # type: ignore[attr-defined]
        errata = list(erratum.queryset.select_related("found_in"))  # type: ignore[attr-defined]
        words = dict(zip((one.pk for one in errata), found_places(errata), strict=True))
        erratum.label_from_instance = lambda one: _erratum_label(one, words.get(one.pk, one.place))  # type: ignore[attr-defined]
        published = (
            question.pattern.versions.filter(state="published").defer("record").order_by("major", "minor")
        )
        later = [one.pk for one in published if one.order > question.version.order]
        clearer.queryset = published.filter(pk__in=later)  # type: ignore[attr-defined]
        clearer.label_from_instance = lambda one: one.number  # type: ignore[attr-defined]
        self.helper = helper_with("Save what was done", is_second=True)


class SameForm(forms.Form):
    """The question that this one is the same as."""

    same_as = forms.ModelChoiceField(MakerQuestion.objects.none(), label="The same as", empty_label=None)

    def __init__(self, data: Any = None, *, question: MakerQuestion) -> None:
        super().__init__(data)
        others = first_questions(question.pattern).exclude(pk=question.pk)
        field = self.fields["same_as"]
        field.queryset = others  # type: ignore[attr-defined]
        field.choices = [(one.pk, _label(one)) for one in others[:MOST_OFFERED]]  # type: ignore[attr-defined]
        self.helper = helper_with("It is the same", is_second=True)


def _erratum_label(erratum: Erratum, place: str) -> str:
    """An erratum in one line of a list: its place and its words."""
    words = " ".join((erratum.should_say or erratum.says).split())
    return f"{place}: {words}"[:LONGEST_LABEL] if words else place


def _label(question: MakerQuestion) -> str:
    """A question in one line of a list."""
    words = " ".join(question.says.split())
    return words if len(words) <= LONGEST_LABEL else f"{words[:LONGEST_LABEL].rstrip()} …"
