"""What the testers of a pattern found, for pages of the catalogue: measurements, remarks, yarn."""

from collections import Counter
from dataclasses import dataclass

from django.urls import reverse
from django.utils.text import Truncator

from catalogue.models import Pattern
from testing.access.selectors import all_calls, held_places
from testing.asked.figures import call_figures
from testing.assessment.assessing import found_in, standing_found
from testing.assessment.garment_entries import call_results
from testing.models import TestCall
from testing.verdicts.judging import judged_rows, placed_remarks, tally_makers
from testing.verdicts.sentences import verdict_parts
from testing.verdicts.yarn_words import yarn_now, yarn_sentences

REMARK_SHOWN = 120


@dataclass(frozen=True)
class FoundByTesters:
    """What the newest call with measurements found, in sentences, and the page of its results."""

    version: str
    address: str
    wrong: list[str]
    """What is judged wrong, by how much, and how sure that is."""
    in_doubt: list[str]
    """What holds although a maker is beyond the tolerance, and whom to ask."""
    remarks: list[str]
    """What testers wrote that nobody has dealt with: step, size, and the words cut to one line."""
    yarn: list[str]


@dataclass(frozen=True)
class YarnByTesters:
    """What testers' yarn says of the yarn computed, the page of their results, and its fabrics by name."""

    says: list[str]
    address: str
    fabrics: list[str]


def found_by_testers(pattern: Pattern, units: str) -> FoundByTesters | None:
    """What the newest call with results says of a pattern; None before the first measurement.

    Args:
        pattern: The pattern.
        units: "cm" or "in": what lengths are told in.
    """
    call = _measured_call(pattern)
    if call is None:
        return None
    brought = call_results(call)
    found, figures = found_in(call, brought), brought.figures
    sizes, labels = figures.pattern.sizes, {value.name: value.label for value in figures.pattern.values}
    held = Counter(held_places(call).values_list("size", flat=True))
    tallies = tally_makers(judged_rows(found, brought.results), found, sizes, held)
    wrong, in_doubt = [], []
    for name, one in found["measurements"].items():
        says = ": ".join(verdict_parts(labels.get(name, name), one, sizes, units, tallies[name]))
        if one["verdict"] not in ("holds", "undecided"):
            wrong.append(says)
        elif one["verdict"] == "holds" and any(tallies[name].beyond):
            in_doubt.append(says)
    fabrics = {fabric.name: fabric.label for fabric in figures.fabrics}
    return FoundByTesters(
        version=call.version.number if call.version else "",
        address=_results_page(call),
        wrong=wrong,
        in_doubt=in_doubt,
        remarks=_open_remarks(call),
        yarn=yarn_sentences(found["yarn"], fabrics, yarn_now(figures.pattern, figures.graded.yarn)),
    )


def yarn_by_testers(pattern: Pattern) -> YarnByTesters | None:
    """What testers weighed says of the yarn of a pattern; None where nobody weighed any."""
    call = _measured_call(pattern)
    if call is None:
        return None
    yarn, figures = standing_found(call)["yarn"], call_figures(call)
    fabrics = {fabric.name: fabric.label for fabric in figures.fabrics}
    says = yarn_sentences(yarn, fabrics, yarn_now(figures.pattern, figures.graded.yarn))
    return YarnByTesters(says, _results_page(call), list(yarn["factors"])) if says else None


def _measured_call(pattern: Pattern) -> TestCall | None:
    """The newest call of a pattern in which something was measured."""
    measured = all_calls().filter(pattern=pattern, results__entries__part="measured")
    return measured.select_related("assessment").order_by("-pk").first()


def _open_remarks(call: TestCall) -> list[str]:
    """The remarks of a call that nobody has dealt with, one line for each."""
    return [
        f"{one.step}, size {one.remark.result.size}: “{Truncator(one.remark.text).chars(REMARK_SHOWN)}”"
        for one in placed_remarks(call)
        if not one.remark.is_dealt_with
    ]


def _results_page(call: TestCall) -> str:
    return reverse("call_results", args=[call.pattern.slug, call.pk])
