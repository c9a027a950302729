"""What the history says of a change to an erratum: which fields; choices and days from what to what."""

from datetime import date
from typing import Any

from catalogue.models import Erratum

# What the history calls the fields of an erratum.
FIELDS = {
    "says": "what it says",
    "should_say": "what it should say",
    "gravity": "severity",
    "source": "how it was found",
    "found_by": "found by",
    "due_on": "day to settle it by",
}
# Fields whose content is never what somebody wrote: the history outlives the words of who is erased.
WITHOUT_WORDS = ("gravity", "source", "due_on")


def change_words(erratum: Erratum, name: str, content: Any) -> str:
    """One field that gets other content; with what it holds before and then, where that is no one's words."""
    called = FIELDS.get(name, name)
    if name not in WITHOUT_WORDS:
        return called
    return f"{called}, from {_shown(name, getattr(erratum, name))} to {_shown(name, content)}"


def _shown(name: str, content: Any) -> str:
    """A choice or a day in words."""
    if not content:
        return "nothing"
    if isinstance(content, date):
        return f"{content.day} {content:%B %Y}"
    choices: Any = {"gravity": Erratum.GRAVITIES, "source": Erratum.SOURCES}[name]
    return str(dict(choices).get(content, content))
