"""Verifying: whether the pictures of testers are there as they were sent."""

from collections.abc import Iterator

from catalogue.editions.verification import picture_faults
from testing.models import ResultPhoto


def picture_faults_of_results() -> Iterator[str]:
    """Every fault of a tester's picture, which is told by its number: the sentence stands in logs.

    Raises:
        FilesOutOfReach: The files can't be looked at; that is no fault of theirs.
    """
    photos = ResultPhoto.objects.select_related("result__call__pattern").order_by("pk")
    for photo in photos.iterator(chunk_size=20):
        named = f"{photo.result.call.pattern}, picture {photo.pk} of a tester"
        yield from (f"{named}: {says}" for says in picture_faults(photo))
