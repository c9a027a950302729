"""Which published versions name a yarn, and how many have them."""

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from django.db.models import Count, QuerySet

from catalogue.drafts.yarn_ends import named_in
from catalogue.models import Holder, Pattern, Version, Yarn


@dataclass(frozen=True)
class Reach:
    """The newest release of a pattern, the releases that name a yarn, and how many hold the pattern.

    `newest` is empty where nothing is published.
    """

    newest: str
    naming: tuple[str, ...]
    holders: int


def yarn_names(record: Mapping[str, Any]) -> list[str]:
    """How a record calls its yarns: in the sheet, and as they were chosen."""
    labels = [str(one["label"]) for one in record["pattern"].get("yarns", [])]
    return [*labels, *(str(one["yarn"]) for one in record["shades"].values())]


def published_with(yarn: Yarn, made: Sequence[Yarn]) -> dict[Pattern, list[str]]:
    """The patterns with releases that name a yarn, and the numbers of those, the oldest first."""
    found: dict[Pattern, list[str]] = {}
    written = json.dumps(yarn.name, ensure_ascii=False)[1:-1]  # as records are
    for one in _releases().filter(record__contains=written).select_related("pattern"):
        if yarn in named_in("\n".join(yarn_names(json.loads(one.record))), made):
            found.setdefault(one.pattern, []).append(one.number)
    return found


def reach_of(patterns: Iterable[Pattern], naming: Mapping[Pattern, list[str]]) -> dict[int, Reach]:
    """What is published of some patterns and how many have it, by the key of the pattern."""
    keys = {one.pk for one in patterns}
    newest = {
        key: f"{major}.{minor}"
        for key, major, minor in _releases().filter(pattern__in=keys).values_list("pattern", "major", "minor")
    }
    counted = Holder.objects.filter(pattern__in=keys).exclude(state="asked").values("pattern")
    holders = dict(counted.annotate(count=Count("pk")).order_by().values_list("pattern", "count"))
    of = {pattern.pk: tuple(numbers) for pattern, numbers in naming.items()}
    return {key: Reach(newest.get(key, ""), of.get(key, ()), holders.get(key, 0)) for key in keys}


def _releases() -> QuerySet[Version]:
    """All releases by pattern, the oldest first."""
    released = Version.objects.filter(kind="release", state="published")
    return released.order_by("pattern__title", "major", "minor")
