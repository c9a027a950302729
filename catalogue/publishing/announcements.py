"""What follows from a publication or a correction: the public list, and the draft of a notice."""

from catalogue.holders.notices import draft_notice
from catalogue.models import Version
from catalogue.public.listings import list_pattern


def announce_version(version: Version) -> None:
    """Show a new release in the list; draft what the holders of older versions are told."""
    if version.kind == "release":
        list_pattern(version.pattern)
        draft_notice(version)
