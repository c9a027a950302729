"""What the overview of a pattern says at a glance: its finished size, its versions, its tests, its errata."""

from collections.abc import Sequence
from dataclasses import dataclass
from math import nan
from typing import cast

from django.db.models import Count
from django.urls import reverse

from catalogue.drafts.drafts import Draft
from catalogue.models import Pattern, Version
from grading.core.pattern.file import read_pattern
from grading.core.pattern.girths import girth_pair
from grading.core.printing.edition import PrintForm, Units
from grading.core.printing.measures import length_range


@dataclass(frozen=True)
class GlanceFact:
    """A fact, and the page that says more of it; "" where there is none."""

    term: str
    says: str
    address: str = ""


def glance_facts(draft: Draft, testers: Sequence[str], *, sees_holders: bool) -> list[GlanceFact]:
    """Say what there is to say of a pattern.

    Args:
        draft: The pattern.
        testers: What its testers do and wait for, in words.
        sees_holders: Whether who looks may see who holds it.
    """
    pattern, facts = draft.pattern, []
    if finished := _finished(draft):
        facts.append(finished)
    if newest := pattern.versions.filter(state="published").order_by("-major", "-minor").first():
        facts.append(GlanceFact("Newest version", _version(newest), reverse("versions", args=[pattern.slug])))
    if testers:
        facts.append(GlanceFact("Testers", ", ".join(testers)))
    if errata := _errata(pattern):
        facts.append(GlanceFact("Errata", errata, reverse("errata", args=[pattern.slug])))
    if sees_holders and (holders := pattern.holders.count()):
        facts.append(GlanceFact("Holders", str(holders), reverse("pattern_holders", args=[pattern.slug])))
    return facts


def _finished(draft: Draft) -> GlanceFact | None:
    """The girth that a size is chosen by, from the smallest size to the largest."""
    pattern = read_pattern(draft.document, trusted=True)
    pair = girth_pair(pattern)
    if pair is None:
        return None
    _, value = pair
    figures = draft.graded["values"].get(value.name, {}).get("worked", [])
    numbers = [nan if number is None else float(number) for number in figures]
    finished = f"Finished {value.label[:1].lower()}{value.label[1:]}"
    return GlanceFact(finished, length_range(numbers, PrintForm(cast("Units", pattern.home_units))))


def _version(version: Version) -> str:
    """A version by its number, its kind and its day."""
    kind = "test version" if version.kind == "test" else "release"
    day = f", {version.published_at:%-d %B %Y}" if version.published_at else ""
    return f"{version.number}, {kind}{day}"


def _errata(pattern: Pattern) -> str:
    """How many errata are open and how many corrected."""
    rows = pattern.errata.values("state").annotate(count=Count("pk")).values_list("state", "count")
    counts = dict(rows)
    is_open = counts.get("reported", 0) + counts.get("confirmed", 0)
    parts = [(is_open, "open"), (counts.get("corrected", 0), "corrected")]
    return ", ".join(f"{count} {word}" for count, word in parts if count)
