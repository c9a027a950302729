"""A glance: what somebody saw when they opened a form.

It is carried in the form and held against what is there when the button is pressed, so that nothing which
can't be undone is done to what they did not see.
"""

import json
from collections.abc import Mapping
from typing import Any

from catalogue.versions.changes import EntryChange, entry_changes

# Far more than any form carries; what is longer was not written by us.
LONGEST = 400_000

Figure = str | int | float | None
Seen = Mapping[str, Figure | Mapping[str, Figure]]


class Moved(Exception):
    """What was seen is not what is there now; nothing was done. `entries` are old and new side by side."""

    def __init__(self, entries: list[EntryChange]) -> None:
        super().__init__("This was changed after you opened the page, so nothing was done.")
        self.entries = entries


def written_glance(seen: Seen) -> str:
    """What is seen, as a form carries it: labels that people read, and what stands beside them."""
    return json.dumps(seen, ensure_ascii=False, separators=(",", ":"), default=str)


def read_glance(written: str) -> dict[str, Any]:
    """What a form carried; nothing where it can't be read, so that everything counts as changed."""
    try:
        seen = json.loads(written) if len(written) <= LONGEST else {}
    except (ValueError, RecursionError):
        return {}
    parts = seen.items() if isinstance(seen, dict) else ()
    return {
        label: _figures(part) if isinstance(part, dict) else part for label, part in parts if _is_ours(part)
    }


def moved_entries(written: str, now: Seen) -> list[EntryChange]:
    """What is not as it was seen, in the order of the page."""
    now_written = written_glance(now)
    return [] if written == now_written else entry_changes(read_glance(written), read_glance(now_written))


def check_glance(written: str | None, now: Seen) -> None:
    """Go on where all is as it was seen; None stands for somebody who looks at no page, such as a command.

    Raises:
        Moved: Something is not.
    """
    if written is not None and (entries := moved_entries(written, now)):
        raise Moved(entries)


def paragraphs(text: str) -> dict[str, Figure]:
    """A longer text by its paragraphs, so that what changed is shown paragraph by paragraph."""
    found = [paragraph.strip() for paragraph in text.split("\n\n") if paragraph.strip()]
    return {f"paragraph {number}": paragraph for number, paragraph in enumerate(found, 1)}


def _is_ours(part: Any) -> bool:
    """Whether a part of a glance is a figure, or figures by their labels."""
    return isinstance(part, dict | Figure)


def _figures(part: dict[str, Any]) -> dict[str, Figure]:
    """The figures of a part; whatever else somebody wrote there is left out."""
    return {label: figure for label, figure in part.items() if isinstance(figure, Figure)}
