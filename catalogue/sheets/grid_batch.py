"""A batch of changes as a browser sends it: read whole, or refused in one sentence.

A change names its cell by part, name and field, what stood there when it was typed, and what shall stand
there. Fields are label, kind, source (the formula) and the places of the sizes: "0", "1" and so on.
"""

from dataclasses import dataclass
from typing import Any

GRID_PARTS = ("body", "fabrics", "values", "pick_ups", "checks", "yarn_sections")
MOST_CHANGES = 20_000
LONGEST_TEXT = 20_000


class UnreadableBatch(ValueError):
    """What was sent is no batch of changes; one sentence says so."""


@dataclass(frozen=True)
class CellChange:
    """One cell: where it stands, what stood there, and what shall."""

    part: str
    name: str
    field: str
    was: str
    text: str


@dataclass(frozen=True)
class Batch:
    """All that was typed since the last save."""

    revision: int
    changes: tuple[CellChange, ...]
    added: tuple[tuple[str, str, dict[str, str]], ...]
    deleted: tuple[tuple[str, str], ...]
    order: dict[str, list[str]]


def read_batch(sent: Any) -> Batch:
    """Read what a browser sent.

    Raises:
        UnreadableBatch: It is no batch.
    """
    if not isinstance(sent, dict) or type(sent.get("revision")) is not int:
        raise UnreadableBatch("This is not a batch of changes: load the sheet again.")
    changes = [
        CellChange(**{key: _text(one, key) for key in ("part", "name", "field", "was", "text")})
        for one in _list(sent, "changes")
    ]
    added = [
        (_text(one, "part"), _text(one, "id"), _fields(one.get("fields"))) for one in _list(sent, "added")
    ]
    deleted = [(_text(one, "part"), _text(one, "name")) for one in _list(sent, "deleted")]
    order = sent.get("order", {})
    if not isinstance(order, dict) or not all(
        isinstance(many, list) and all(isinstance(one, str) for one in many) for many in order.values()
    ):
        raise UnreadableBatch("The order of the lines cannot be read: load the sheet again.")
    parts = {one.part for one in changes} | {one[0] for one in (*added, *deleted)} | order.keys()
    if not parts <= set(GRID_PARTS):
        raise UnreadableBatch("A line belongs to no part of the grid: load the sheet again.")
    if len(changes) + len(added) + len(deleted) > MOST_CHANGES:
        raise UnreadableBatch(f"At most {MOST_CHANGES:,} changes can be saved at once: undo some, then save.")
    return Batch(sent["revision"], tuple(changes), tuple(added), tuple(deleted), order)


def _list(sent: dict[str, Any], key: str) -> list[dict[str, Any]]:
    """A list of objects."""
    found = sent.get(key, [])
    if not isinstance(found, list) or not all(isinstance(one, dict) for one in found):
        raise UnreadableBatch(f"The list “{key}” cannot be read: load the sheet again.")
    return found


def _text(one: dict[str, Any], key: str) -> str:
    """A text of a change, without what no sheet can hold."""
    text = one.get(key)
    if not isinstance(text, str) or len(text) > LONGEST_TEXT or "\0" in text:
        raise UnreadableBatch("A change cannot be read, or is too long: load the sheet again.")
    return text


def _fields(found: Any) -> dict[str, str]:
    """The cells of a new line."""
    if not isinstance(found, dict):
        raise UnreadableBatch("A new line cannot be read: load the sheet again.")
    return {key: _text(found, key) for key in found}
