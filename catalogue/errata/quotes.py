"""What somebody said, word for word in an erratum made from it: taken out when they are erased."""

import re
from html import escape
from typing import Any

from django.core.files.storage import default_storage

from catalogue.models import Erratum, ErratumEvent, ErratumSighting, Notice
from catalogue.studio.storage import listed

SHEETS = "corrections"  # the folder of sheets that are made anew from what errata say
ERASED = "[erased]"
# A field may have cut off the rest of longer words.
LONG_WORDS = 1_000


def unquote(*, erratum: Erratum, words: str, maker: str) -> None:
    """Take somebody's words out of an erratum, out of those it is told with, and out of letters about them.

    What tells the maker goes from where it says who found it; what the studio wrote itself stays.
    """
    keys = _told_together(erratum)
    said = _pattern(words)
    for one in Erratum.objects.filter(pk__in=keys):
        for name in ("says", "should_say", "why"):
            setattr(one, name, _without(getattr(one, name), said, maker))
        one.found_by = _nameless(one.found_by, maker)
        one.save(update_fields=("says", "should_say", "why", "found_by"))
    for seen in ErratumSighting.objects.filter(erratum__in=keys):
        seen.note, seen.found_by = _without(seen.note, said, maker), _nameless(seen.found_by, maker)
        seen.save(update_fields=("note", "found_by"))
    for event in ErratumEvent.objects.filter(erratum__in=keys):
        event.says = _nameless(event.says, maker)
        event.save(update_fields=("says",))
    in_html = _pattern(escape(words))
    for notice in Notice.objects.filter(errata__in=keys).distinct():
        notice.letters = _without_in(_without_in(notice.letters, said, maker), in_html, maker)
        notice.save(update_fields=("letters",))


def remove_sheets() -> None:
    """Take away the sheets of corrections that are kept; each is made anew when it is asked for.

    Raises:
        FilesOutOfReach: They can't be removed.
    """
    for name in listed(SHEETS)[1]:
        default_storage.delete(f"{SHEETS}/{name}")


def _told_together(erratum: Erratum) -> list[int]:
    """The erratum and those that it was told with since."""
    keys: list[int] = []
    one: Erratum | None = erratum
    while one and one.pk not in keys:
        keys.append(one.pk)
        one = one.merged_into
    return keys


def _pattern(words: str) -> re.Pattern[str]:
    """Finds words however they are broken into lines."""
    found = r"\s+".join(re.escape(word) for word in words[:LONG_WORDS].split())
    return re.compile(
        found + r".*" if len(words) > LONG_WORDS else found or r"(?!)", re.IGNORECASE | re.DOTALL
    )


def _without(text: str, said: re.Pattern[str], maker: str) -> str:
    """A text without somebody's words."""
    found, count = said.subn(ERASED, text)
    return _nameless(found, maker) if count else text


def _nameless(text: str, maker: str) -> str:
    """A text without what tells the maker of a remark."""
    return text.replace(f"A tester's remark{maker}", "A tester's remark")


def _without_in(stored: Any, said: re.Pattern[str], maker: str) -> Any:
    """Stored lists and texts without somebody's words."""
    if isinstance(stored, dict):
        return {key: _without_in(one, said, maker) for key, one in stored.items()}
    if isinstance(stored, list):
        return [_without_in(one, said, maker) for one in stored]
    return _without(stored, said, maker) if isinstance(stored, str) else stored
