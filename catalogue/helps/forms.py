"""Forms of helps."""

import re
from typing import Any

from crispy_forms.layout import Div, Layout
from django import forms

from catalogue.helps.addresses import AddressRefused, read_address
from catalogue.helps.showing import clock
from catalogue.models import Help
from catalogue.models.helps import CRAFTS, HANDS
from catalogue.studio.form_parts import helper_with, text_area
from catalogue.studio.glance_forms import GlanceForm
from grading.core.pattern.schema import schema
from grading.entries.single_lines import LineField

MOST_TERMS, LONGEST_TERM = 30, 60
LONGEST_VIDEO_S = 24 * 3600
_CLOCK = re.compile(r"(?:(\d{1,2}):)?(\d{1,4}):([0-5]\d)|(\d{1,5})")


class ClockField(LineField):
    """A place in a video: 1:20, 1:02:00, or seconds."""

    def clean(self, value: Any) -> int | None:
        """Return seconds."""
        text = super().clean(value)
        if not text:
            return None
        found = _CLOCK.fullmatch(text)
        if found is None:
            raise forms.ValidationError(f"“{text}” is not a time: write minutes and seconds, such as 1:20.")
        hours, minutes, seconds, alone = (int(part or 0) for part in found.groups())
        total = alone or hours * 3600 + minutes * 60 + seconds
        if total > LONGEST_VIDEO_S:
            raise forms.ValidationError(f"“{text}” is longer than a day: write a time such as 1:20.")
        return total


class HelpForm(GlanceForm):
    """A help: what it is called, for whom it is, its words, its link."""

    title = LineField(max_length=120, help_text="What it shows how to do. For example: Long-tail cast on.")
    text = forms.CharField(
        label="How it is done",
        max_length=4_000,
        widget=text_area(6),
        help_text="A few short sentences, one for each picture. Lists work as in instructions.",
    )
    terms = LineField(
        label="Words that it explains",
        required=False,
        max_length=600,
        help_text="Abbreviations and stitches, with commas between: puff stitch, ps. Evenrow suggests it "
        "where a step uses them.",
    )
    craft = forms.ChoiceField(choices=list(CRAFTS.items()), required=False)
    hand = forms.ChoiceField(choices=list(HANDS.items()), required=False)
    level = forms.ChoiceField(required=False)
    link = LineField(
        label="Link to a video",
        required=False,
        max_length=500,
        help_text="A link to the video or page, such as https://video.example/long-tail. PDFs print "
        "a short link of your studio, so you can change it later.",
    )
    link_from_s = ClockField(label="From", required=False, max_length=8, help_text="Such as 1:20")
    link_to_s = ClockField(label="To", required=False, max_length=8, help_text="Such as 2:05")

    def __init__(self, data: Any = None, *, found: Help | None = None) -> None:
        super().__init__(data, initial=_typed(found))
        levels = [("", "any level"), *((one, one) for one in schema()["properties"]["skill"]["enum"])]
        self.fields["level"].choices = levels  # type: ignore[attr-defined]
        self.helper = helper_with("Save the help")
        self.helper.layout = Layout(
            "title",
            "text",
            "terms",
            Div("craft", "hand", "level", css_class="field-row"),
            "link",
            Div("link_from_s", "link_to_s", css_class="field-row"),
            "seen",
        )

    def typed(self) -> dict[str, Any]:
        """What was typed of the help."""
        return {key: value for key, value in self.cleaned_data.items() if key != "seen"}

    def clean_terms(self) -> list[str]:
        """The words, each once."""
        words = [" ".join(one.split()) for one in self.cleaned_data["terms"].split(",")]
        terms = list(dict.fromkeys(one for one in words if one))
        if len(terms) > MOST_TERMS:
            raise forms.ValidationError(f"At most {MOST_TERMS} words fit, these are {len(terms)}.")
        if long := next((one for one in terms if len(one) > LONGEST_TERM), None):
            raise forms.ValidationError(f"“{long[:40]}…” is too long for a word: put commas between words.")
        return terms

    def clean_link(self) -> str:
        """Refuse what is no public web address."""
        link = str(self.cleaned_data["link"])
        if link:
            try:
                read_address(link)
            except AddressRefused as refusal:
                raise forms.ValidationError(str(refusal)) from None
        return link

    def clean(self) -> dict[str, Any]:
        """Times belong to a link, and go forwards."""
        cleaned = super().clean() or {}
        start, end = cleaned.get("link_from_s"), cleaned.get("link_to_s")
        if (start is not None or end is not None) and not cleaned.get("link") and "link" not in self.errors:
            self.add_error("link", "Times belong to a video: give its link, or leave the times empty.")
        if start is not None and end is not None and end <= start:
            self.add_error("link_to_s", "The end has to come after the start: give a later time.")
        return cleaned


def _typed(found: Help | None) -> dict[str, Any]:
    """A help as its form shows it."""
    if found is None:
        return {}
    kept = ("title", "text", "craft", "hand", "level", "link")
    return {
        **{key: getattr(found, key) for key in kept},
        "terms": ", ".join(found.terms),
        "link_from_s": clock(found.link_from_s),
        "link_to_s": clock(found.link_to_s),
    }
