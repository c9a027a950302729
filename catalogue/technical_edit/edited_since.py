"""Which patterns were edited since they were signed: told from the edits alone, for lists of patterns."""

from collections.abc import Iterator, Mapping
from typing import Any

from catalogue.models import PatternEdit, TechnicalEdit

_Spot = tuple[str, str | None]


def edited_since(signed: Mapping[int, TechnicalEdit]) -> set[int]:
    """The patterns in which an entry is not as it was when each was signed.

    What was changed and changed back is no change. Photos and shades are no entries: the page of the
    technical edit, which compares the whole state, tells of these.

    Args:
        signed: A sign-off by the key of its pattern.
    """
    if not signed:
        return set()
    before: dict[int, dict[_Spot, Any]] = {}
    after: dict[int, dict[_Spot, Any]] = {}
    edits = PatternEdit.objects.filter(
        pattern__in=list(signed), made_at__gt=min(one.signed_at for one in signed.values())
    )
    for key, at, old, new in edits.order_by("revision").values_list(
        "pattern_id", "made_at", "before", "after"
    ):
        if at <= signed[key].signed_at:
            continue
        was, now = dict(_spots(old)), dict(_spots(new))
        for spot in was.keys() | now.keys():
            before.setdefault(key, {}).setdefault(spot, was.get(spot))
            after.setdefault(key, {})[spot] = now.get(spot)
    return {key for key, spots in after.items() if spots != before[key]}


def _spots(changes: Mapping[str, Any]) -> Iterator[tuple[_Spot, Any]]:
    """Each entry that an edit set, with what it set there; the order of a part is one of them."""
    yield ("keys", None), changes.get("keys")
    for key, content in changes.get("whole", {}).items():
        yield (key, None), content
    for key, part in changes.get("parts", {}).items():
        yield (key, None), part.get("order")
        for name, entry in part["entries"].items():
            yield (key, str(name)), entry
