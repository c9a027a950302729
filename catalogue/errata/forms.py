"""Forms of errata, their guards, and comments."""

from collections.abc import Iterable, Sequence
from typing import Any

from crispy_forms.bootstrap import InlineCheckboxes
from crispy_forms.layout import HTML, Layout
from django import forms

from catalogue.errata.quoting import why_not_quoted
from catalogue.errata.tables import later_versions
from catalogue.models import Erratum, MakerQuestion, Version
from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.glance_forms import GlanceForm
from catalogue.versions.gaps import read_gap
from catalogue.versions.records import read_record
from catalogue.versions.spots import erratum_words
from grading.entries.single_lines import LineField

MOST_IN_A_FORMULA = 500
SAY_THE_STEP = "Write the step that is missing, as it should read."
# Asks what the version says there; what was typed comes back with the answer.
SHOW = (
    '<p><button class="btn btn-outline-secondary" type="submit" name="show" value="1" formnovalidate>'
    "Show what it says there</button></p>"
)


class ErratumForm(forms.Form):
    """A mistake as somebody met it."""

    found_in = forms.ModelChoiceField(Version.objects.none(), label="Found in version", empty_label=None)
    place = forms.ChoiceField(
        label="Where",
        help_text="A step, a special stitch, a number, a row of a stitch pattern, another part, or a step "
        "that is missing.",
    )
    sizes = forms.MultipleChoiceField(
        required=False, widget=forms.CheckboxSelectMultiple, help_text="None ticked: all sizes."
    )
    says = forms.CharField(
        label="What it says",
        max_length=1_000,
        required=False,
        widget=text_area(2),
        help_text="The wrong words or number, as that version prints them. Leave out what is right.",
    )
    should_say = forms.CharField(
        label="What it should say", max_length=1_000, required=False, widget=text_area(2)
    )
    why = forms.CharField(label="Why", max_length=1_000, required=False, widget=text_area(2))
    kind = forms.ChoiceField(choices=[("mistake", "mistake"), ("wording", "clearer wording")])
    gravity = forms.ChoiceField(label="Severity", choices=Erratum.GRAVITIES, initial="wrong")
    source = forms.ChoiceField(
        label="How it was found", choices=Erratum.SOURCES, initial="studio", required=False
    )
    found_by = LineField(
        label="Found by",
        max_length=120,
        required=False,
        help_text="For example: “letter of 3 May”.",
    )

    question = forms.ModelChoiceField(
        MakerQuestion.objects.none(), required=False, widget=forms.HiddenInput, label="A maker’s question"
    )

    def __init__(
        self, *args: Any, versions: Any, places: Sequence[tuple[str, str]], sizes: Sequence[str], **more: Any
    ) -> None:
        super().__init__(*args, **more)
        asked = MakerQuestion.objects.filter(pattern__versions__in=versions).distinct()
        self.fields["question"].queryset = asked  # type: ignore[attr-defined]
        found_in, place, of_sizes = self.fields["found_in"], self.fields["place"], self.fields["sizes"]
        found_in.queryset = versions  # type: ignore[attr-defined]
        found_in.label_from_instance = lambda version: version.number  # type: ignore[attr-defined]
        place.choices = places  # type: ignore[attr-defined]
        of_sizes.choices = [(size, size) for size in sizes]  # type: ignore[attr-defined]
        self.helper = helper_with("Add the erratum")
        parts: list[Any] = [InlineCheckboxes(name) if name == "sizes" else name for name in self.fields]
        parts.insert(parts.index("place") + 1, HTML(SHOW))
        self.helper.layout = Layout(*parts)

    def clean_source(self) -> str:
        """Without an answer it is the studio's own."""
        return str(self.cleaned_data["source"] or "studio")

    def clean(self) -> dict[str, Any]:
        """What it says must stand in the version that it was found in."""
        found = super().clean() or {}
        version, place = found.get("found_in"), found.get("place")
        if version and place:
            record = read_record(version.record)
            if why := why_not_quoted(place, found.get("sizes") or (), found.get("says", ""), record):
                self.add_error("says", why)
            if read_gap(place) and not found.get("should_say", "").strip():
                self.add_error("should_say", SAY_THE_STEP)
        return found


class CorrectedForm(forms.Form):
    """The version that corrects a mistake."""

    version = forms.ModelChoiceField(Version.objects.none(), label="Corrected in version", empty_label=None)

    def __init__(self, *args: Any, erratum: Erratum, **more: Any) -> None:
        super().__init__(*args, **more)
        field: Any = self.fields["version"]
        field.queryset = later_versions(erratum)
        found = f"in version {erratum.found_in.number}" if erratum.found_in else "before"
        field.error_messages["invalid_choice"] = (
            f"The mistake was found {found}: a later version corrects it."
        )
        field.label_from_instance = lambda version: version.number
        self.helper = helper_with("It is corrected in this version")

    def leave_out(self, still_wrong: Iterable[Version]) -> None:
        """Offer none of the versions that still have the mistake."""
        field: Any = self.fields["version"]
        field.queryset = field.queryset.exclude(pk__in=[version.pk for version in still_wrong])


class ConfirmForm(GlanceForm):
    """What makers read of a mistake from now on."""

    gravity = forms.ChoiceField(label="Severity", choices=Erratum.GRAVITIES)
    should_say = forms.CharField(
        label="What it should say", max_length=1_000, required=False, widget=text_area(2)
    )

    def __init__(self, data: Any = None, *, erratum: Erratum) -> None:
        super().__init__(data, initial={"gravity": erratum.gravity, "should_say": erratum.should_say})
        self.erratum = erratum
        self.helper = helper_with("Confirm the mistake: show it to makers")

    def clean_should_say(self) -> str:
        """The words of a step that is missing are all that tells of it."""
        return _words_of(self.erratum, str(self.cleaned_data["should_say"]))


class ErratumChangeForm(GlanceForm):
    """What an erratum says, once it is written down."""

    says = forms.CharField(label="What it says", max_length=1_000, required=False, widget=text_area(2))
    should_say = forms.CharField(
        label="What it should say", max_length=1_000, required=False, widget=text_area(2)
    )
    why = forms.CharField(label="Why", max_length=1_000, required=False, widget=text_area(2))
    kind = forms.ChoiceField(choices=[("mistake", "mistake"), ("wording", "clearer wording")])
    gravity = forms.ChoiceField(label="Severity", choices=Erratum.GRAVITIES)
    source = forms.ChoiceField(label="How it was found", choices=Erratum.SOURCES)
    found_by = LineField(label="Found by", max_length=120, required=False)
    due_on = forms.DateField(
        label="Settle it by",
        required=False,
        widget=forms.DateInput(attrs={"type": "date"}, format="%Y-%m-%d"),
    )

    def __init__(self, data: Any = None, *, erratum: Erratum) -> None:
        said = [name for name in self.base_fields if name != "seen"]
        super().__init__(data, initial={name: getattr(erratum, name) for name in said})
        self.erratum = erratum
        self.helper = helper_with("Save the erratum")

    def clean_should_say(self) -> str:
        """The words of a step that is missing are all that tells of it."""
        return _words_of(self.erratum, str(self.cleaned_data["should_say"]))

    def clean_says(self) -> str:
        """What it is changed to must stand in the version that it was found in."""
        says, one = str(self.cleaned_data["says"]), self.erratum
        if one.found_in and says != one.says:
            why = why_not_quoted(one.place, one.sizes, says, read_record(one.found_in.record))
            if why:
                raise forms.ValidationError(why)
        return says


class GuardForm(forms.Form):
    """A check that must hold from now on."""

    holds = LineField(
        label="What must be true",
        max_length=MOST_IN_A_FORMULA,
        help_text="Such as sleeve_rows <= 96 rows, where the sheet has a line sleeve_rows.",
    )
    guard_says = LineField(
        label="What is wrong when it is not true",
        max_length=200,
        help_text="For example: “The sleeve has too many rows.”",
    )


class MergeForm(forms.Form):
    """The erratum that another is the same as."""

    into = forms.ModelChoiceField(Erratum.objects.none(), label="The same as", empty_label=None)

    def __init__(self, *args: Any, others: Any, **more: Any) -> None:
        super().__init__(*args, **more)
        field = self.fields["into"]
        field.queryset = others  # type: ignore[attr-defined]
        field.label_from_instance = _one_line  # type: ignore[attr-defined]


def _one_line(erratum: Erratum) -> str:
    """An erratum in one line of a list."""
    return f"{erratum.pk}: {erratum_words(erratum)}"[:100]


def _words_of(erratum: Erratum, words: str) -> str:
    """What an erratum should say; a missing step can't do without."""
    if erratum.is_missing_step and not words.strip():
        raise forms.ValidationError(SAY_THE_STEP)
    return words
