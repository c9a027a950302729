"""Chains that bridge what is skipped, as at an underarm: a closing count may count them as stitches."""

from dataclasses import replace

from grading.core.audit.tree import Chain, Idle, Item, Repeat, RepeatToEnd, Row, Skip


def with_bridges_counted(rows: tuple[Row, ...]) -> tuple[Row, ...] | None:
    """The rows with every chain before skipped stitches counted as stitches; None where there is none.

    A chain with which a row begins is a foundation or a turning chain, and bridges nothing.

    Source: common practice: where chains are cast on for an underarm, the count of the round has them.
    """
    if not any(isinstance(item, Chain | Repeat | RepeatToEnd) for row in rows for item in row.items[1:]):
        return None
    bridged = tuple(replace(row, items=(*row.items[:1], *_bridged(row.items)[1:])) for row in rows)
    return None if bridged == rows else bridged


def _bridged(items: tuple[Item, ...]) -> tuple[Item, ...]:
    found: list[Item] = []
    for place, item in enumerate(items):
        beside = _beside(items, place)
        if isinstance(item, Chain) and item.counts is None and isinstance(beside, Skip):
            found.append(replace(item, counts=item.number))
        elif isinstance(item, Repeat | RepeatToEnd):
            found.append(replace(item, items=_bridged(item.items)))
        else:
            found.append(item)
    return tuple(found)


def _beside(items: tuple[Item, ...], place: int) -> Item | None:
    """The next item that does something."""
    return next((item for item in items[place + 1 :] if not isinstance(item, Idle)), None)
