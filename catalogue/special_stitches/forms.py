"""The form of a special stitch."""

from typing import Any

from django import forms

from catalogue.drawings.stitch_forms import typed_rows
from catalogue.models import SpecialStitch, StitchState
from catalogue.models.special_stitches import STITCH_CRAFTS, STITCH_TERMS
from catalogue.special_stitches.stitches import stitch_glance, words_of
from catalogue.special_stitches.taking import PART, entry_of
from catalogue.studio.form_parts import text_area
from catalogue.studio.glance_forms import GlanceForm
from catalogue.versions.glances import written_glance
from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile
from grading.entries.single_lines import LineField

MOST_ROWS_TEXT = 20_000


class StitchForm(GlanceForm):
    """A special stitch as typed; `core` is a pattern that has nothing else."""

    label = LineField(label="Name", max_length=120, help_text="What makers read, such as Puff stitch.")
    short = LineField(label="Abbreviation", max_length=40, help_text="As steps use it, such as ps.")
    method = forms.CharField(
        label="How it is worked",
        max_length=4_000,
        widget=text_area(5),
        help_text="A few short sentences. For example: Yarn over, insert the hook, draw up a long loop.",
    )
    craft = forms.ChoiceField(choices=list(STITCH_CRAFTS.items()))
    terms = forms.ChoiceField(
        label="Terms it is written in",
        choices=list(STITCH_TERMS.items()),
        help_text="A pattern in other terms takes it over in its own.",
    )
    rows = forms.CharField(
        label="Rows that show it",
        required=False,
        max_length=MOST_ROWS_TEXT,
        widget=forms.Textarea(attrs={"rows": 4, "spellcheck": "false"}),
        help_text="Only where it has a chart: one row on each line, row 1 first, its repeat "
        "marked with *. Evenrow draws the chart.",
    )
    multiple = forms.IntegerField(
        required=False,
        min_value=1,
        max_value=200,
        initial=1,
        help_text="Stitches of one repeat of these rows.",
    )
    plus = forms.IntegerField(
        required=False,
        min_value=0,
        max_value=200,
        initial=0,
        help_text="Stitches before and after the repeats.",
    )

    def __init__(self, data: Any = None, *, state: StitchState | None = None) -> None:
        self.state, self.core = state, None if state is None else core_of(state)
        super().__init__(data, initial=_typed(state))

    def clean(self) -> dict[str, Any]:
        """Read it as a pattern would; refuse what does not fit at its field."""
        cleaned = super().clean() or {}
        if self.errors:
            return cleaned
        cleaned["rows"] = typed_rows(cleaned["rows"])
        cleaned["multiple"], cleaned["plus"] = cleaned["multiple"] or 1, cleaned["plus"] or 0
        cleaned["method"] = cleaned["method"].replace("\r\n", "\n").strip()
        try:
            words = {key: cleaned[key] for key in cleaned if key != "seen"}
            self.core = core_of(StitchState(stitch=SpecialStitch(), number=1, **words))
        except PatternFileError as error:
            key = error.path.rpartition(".")[2].split("[")[0]
            self.add_error(key if key in self.fields else None, error.reason)
        return cleaned

    def clean_short(self) -> str:
        """An abbreviation is found in words by its letters."""
        short = str(self.cleaned_data["short"])
        if not any(sign.isalpha() for sign in short):
            raise forms.ValidationError(f"“{short}” has no letter: write an abbreviation such as ps.")
        return short

    def typed(self) -> dict[str, Any]:
        """What was typed of the stitch."""
        return {key: value for key, value in self.cleaned_data.items() if key != "seen"}


def core_of(state: StitchState) -> PatternFile:
    """A pattern that has this special stitch and nothing else, to show it by.

    Raises:
        PatternFileError: It does not fit.
    """
    bare = {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Special stitch",
        "craft": state.craft,
        "home_units": "cm",
        "home_terms": state.terms,
        "sizes": ["one size"],
    }
    return read_pattern({**bare, PART: [entry_of(state, bare)]})


def _typed(state: StitchState | None) -> dict[str, Any]:
    """A stitch as its form shows it."""
    if state is None:
        return {}
    return {**words_of(state), "rows": "\n".join(state.rows), "seen": written_glance(stitch_glance(state))}
