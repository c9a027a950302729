"""Verifying all that a studio keeps: versions, photos and the pictures of testers."""

from collections.abc import Iterator

from catalogue.editions.verification import faults
from testing.results.verification import picture_faults_of_results


def studio_faults() -> Iterator[str]:
    """Every fault, one sentence each; none when all is well.

    Raises:
        FilesOutOfReach: The files can't be looked at; that is no fault of theirs.
    """
    yield from faults()
    yield from picture_faults_of_results()
