"""A shaping made from within a step: decrease or increase from … to … over … rows."""

from typing import Any

from django.http import QueryDict

from catalogue.drafts.edits import standing_sheet
from catalogue.models import Pattern
from grading.entries.forms import EntryForm

PREFIX = "shaping"
ASKED = ("name", "from", "to", "over", "each")


class ShapingForm(EntryForm):
    """The form of a shaping with what a step asks for alone; it stands within the form of the step."""

    use_required_attribute = False
    prefix = PREFIX

    @property
    def asked(self) -> list[Any]:
        """The fields that are shown."""
        return [self[key] for key in ASKED]


def shaping_form(pattern: Pattern, sent: QueryDict | None = None) -> ShapingForm:
    """The form, with what was sent."""
    data = sent.copy() if sent is not None else None
    if data is not None:
        data[f"{PREFIX}-revision"] = data.get("revision", "")
    return ShapingForm(
        data,
        standing=standing_sheet(pattern),
        part="shapings",
        place=None,
        revision=pattern.sheet.revision,
    )


def write_at(text: str, caret: str, words: str) -> str:
    """Write words where the caret stood; at the end where that is not known."""
    is_known = caret.isdecimal() and len(caret) < 10 and int(caret) <= len(text)
    place = int(caret) if is_known else len(text)
    before, after = text[:place], text[place:]
    gap = " " if before and not before[-1].isspace() else ""
    return f"{before}{gap}{words}{after}"
