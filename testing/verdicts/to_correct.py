"""Measurements of a pattern that its testers found wrong, for pages of the catalogue."""

from dataclasses import dataclass

from django.urls import reverse

from catalogue.models import Pattern
from testing.access.selectors import all_calls
from testing.asked.figures import call_figures
from testing.assessment.assessing import standing_found


@dataclass(frozen=True)
class ToCorrect:
    """The measurements that are judged wrong, the version that was made, and the page of its results."""

    labels: list[str]
    version: str
    address: str


def to_correct(pattern: Pattern) -> ToCorrect | None:
    """What the newest call with results judges wrong in a pattern; None where nothing is."""
    measured = all_calls().filter(pattern=pattern, results__entries__part="measured")
    call = measured.order_by("-pk").first()
    if call is None:
        return None
    found = standing_found(call)["measurements"]
    labels = {value.name: value.label for value in call_figures(call).pattern.values}
    wrong = [name for name, one in found.items() if one["verdict"] not in ("holds", "undecided")]
    if not wrong:
        return None
    version = call.version.number if call.version else ""
    address = reverse("call_results", args=[pattern.slug, call.pk]) + "#verdicts"
    return ToCorrect([labels.get(name, name) for name in wrong], version, address)
