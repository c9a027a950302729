"""What follows from a publication, in its own transaction: the public list, and the draft of a notice."""

from catalogue.listings import list_pattern
from catalogue.models import Version
from catalogue.notices import draft_notice


def announce_version(version: Version) -> None:
    """Show a new release in the list; draft what the holders of older versions are told."""
    if version.kind == "release":
        list_pattern(version.pattern)
        draft_notice(version)
