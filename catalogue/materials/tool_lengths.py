"""Lengths of hooks and needles on sale: common ones, changed by the studio where its shops carry others."""

import re
from collections.abc import Mapping, Sequence

from django.db import transaction

from catalogue.models import ToolLengthList
from grading.core.tools.tools import COMMON_LENGTHS, ToolLengths, lengths_from, lengths_problem

Pairs = list[list[float]]

_LINE = re.compile(r"(\d{1,3}(?:\.\d)?)\s*cm\s*[/=,;]?\s*(\d{1,3}(?:\.\d{1,2})?)\s*in")


def changed_lengths() -> dict[str, Pairs]:
    """The lists that the studio has changed, by kind."""
    return {one.kind: one.lengths for one in ToolLengthList.objects.order_by("kind")}


def lengths_on_sale() -> ToolLengths:
    """All lengths, the studio's own where it has any."""
    return lengths_from(changed_lengths())


def written_lengths(lengths: ToolLengths, kind: str) -> str:
    """One list as it is typed: a length a line."""
    return "\n".join(f"{one.cm} / {one.inches}" for one in getattr(lengths, kind))


def read_lengths(text: str) -> Pairs:
    """Read one list.

    Raises:
        ValueError: A line is no length in both units, or the list does not rise; its text is one sentence.
    """
    pairs: Pairs = []
    for number, line in enumerate(filter(None, map(str.strip, text.splitlines())), start=1):
        found = _LINE.fullmatch(line)
        if not found:
            raise ValueError(f"Line {number}, “{line[:40]}”, is not a length such as “80 cm / 32 in”.")
        pairs.append([float(found.group(1)), float(found.group(2))])
    problem = lengths_problem(lengths_from({"circulars": pairs}))
    if problem:
        raise ValueError(problem)
    return pairs


@transaction.atomic
def store_lengths(*, lists: Mapping[str, Sequence[Sequence[float]]]) -> None:
    """Keep the lists that differ from the common ones."""
    for kind, pairs in lists.items():
        if lengths_from({kind: pairs}) == COMMON_LENGTHS:
            ToolLengthList.objects.filter(kind=kind).delete()
        else:
            ToolLengthList.objects.update_or_create(kind=kind, defaults={"lengths": list(pairs)})
