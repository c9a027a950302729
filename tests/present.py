"""What a test looks up has to be there before anything is said about it."""

from typing import TypeVar

Found = TypeVar("Found")


def present(found: Found | None) -> Found:
    """What was looked up; the test fails here when nothing was found."""
    assert found is not None, "nothing was found"
    return found
