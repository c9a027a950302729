"""What the history says of a change to an erratum: which fields, from what to what."""

from datetime import date
from typing import Any

from django.utils.text import Truncator

from catalogue.models import Erratum

# What the history calls the fields of an erratum.
FIELDS = {
    "says": "what it says",
    "should_say": "what it should say",
    "gravity": "severity",
    "source": "how it came to light",
    "found_by": "found by",
    "due_on": "day to settle it by",
}
SHOWN = 60


def change_words(erratum: Erratum, name: str, content: Any) -> str:
    """One field that gets other content, with what it holds before and then."""
    return f"{FIELDS.get(name, name)}, from {_shown(erratum, name)} to {_shown_as(name, content)}"


def _shown(erratum: Erratum, name: str) -> str:
    return _shown_as(name, getattr(erratum, name))


def _shown_as(name: str, content: Any) -> str:
    """Content of a field in a few words: choices and days plain, words in quotation marks."""
    if not content:
        return "nothing"
    if isinstance(content, date):
        return f"{content.day} {content:%B %Y}"
    choices: Any = {"gravity": Erratum.GRAVITIES, "source": Erratum.SOURCES}.get(name, ())
    return dict(choices).get(content) or f"“{Truncator(content).chars(SHOWN)}”"
