"""Special stitches of a record, named as places, with the words that are printed of them."""

import re
from collections.abc import Iterator
from typing import Any

from catalogue.versions.records import Record

_STITCH = re.compile(r"special_stitches\.([a-z][a-z0-9_]*)\.method")


def read_stitch(place: str) -> str | None:
    """The name of the special stitch that a place is."""
    found = _STITCH.fullmatch(place)
    return found[1] if found else None


def stitch_text(name: str, record: Record) -> str | None:
    """A special stitch as printed: its name, abbreviation and method; None where the record has none."""
    return next((_printed(one) for one in _stitches(record) if one["name"] == name), None)


def whole_stitch(name: str, record: Record) -> str | None:
    """A special stitch with the rows of its chart, to be compared."""
    return next((_whole(one) for one in _stitches(record) if one["name"] == name), None)


def whole_stitches(record: Record) -> list[str]:
    """All special stitches with the rows of their charts."""
    return [_whole(one) for one in _stitches(record)]


def special_places(record: Record) -> Iterator[tuple[str, str]]:
    """Every special stitch as a place, with the record's words for it, in printed order."""
    for one in _stitches(record):
        place = f"special_stitches.{one['name']}.method"
        yield place, special_words(one["name"], record)


def special_words(name: str, record: Record) -> str:
    """A special stitch as the record calls it, so that its name is told from its method."""
    labels = {one["name"]: one["label"] for one in _stitches(record)}
    return f"{labels.get(name, name)}, special stitch"


def _stitches(record: Record) -> list[dict[str, Any]]:
    """The special stitches as typed."""
    found: list[dict[str, Any]] = record["pattern"].get("special_stitches", [])
    return found


def _printed(one: dict[str, Any]) -> str:
    """What an edition prints of a special stitch beside its drawing."""
    return f"{one['label']} ({one['short']}): {one['method']}"


def _whole(one: dict[str, Any]) -> str:
    """What is printed, and the rows that its chart is drawn from."""
    return "\n".join([_printed(one), *one.get("rows", ())])
