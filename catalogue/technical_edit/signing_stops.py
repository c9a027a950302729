"""What forbids a signature: errors of the calculation, and counts that do not come out without a reason."""

from collections.abc import Iterator
from dataclasses import dataclass

from django.urls import reverse

from catalogue.drafts.finding_spots import finding_page, finding_words
from catalogue.versions.records import Record
from grading.grid.grid import merged_findings, place_label


@dataclass(frozen=True)
class SigningStop:
    """One thing that forbids a signature: where, what, and the page on which it is mended."""

    place: str
    says: str
    page: str


def signing_stops(record: Record) -> Iterator[SigningStop]:
    """What forbids to sign a pattern as it stands, each with its page."""
    slug, document = record["slug"], record["pattern"]
    stops = [one for one in record["results"]["findings"] if one["weight"] == "stop"]
    for one in merged_findings(stops):
        where = {**one, "size": None}
        yield SigningStop(
            finding_words(document, where), one["says"], finding_page(slug, document, one["where"])
        )
    for fault in record["count_audit"]["faults"]:
        if not fault["reason"]:
            place = f"{place_label(document, fault['where'])}, {', '.join(fault['sizes'])}"
            says = f"{fault['says']}. Correct it, or write under Row by row why it stays."
            yield SigningStop(place, says, reverse("row_by_row", args=[slug]))
