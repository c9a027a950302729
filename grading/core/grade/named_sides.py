"""Sides of rows as words name them: right-side and wrong-side rows, RS and WS."""

import re

SIDE = r"(?:(right|wrong)[- ]side|(RS|WS))"


def is_right(found: re.Match[str]) -> bool:
    """Whether the side that was found is the right one.

    Args:
        found: What a pattern with SIDE has found; its other groups are numbers.

    Returns:
        False where it is the wrong side.

    Source: derived.

    >>> [is_right(one) for one in re.finditer(SIDE, "a wrong-side row, then RS")]
    [False, True]
    """
    named = next(group for group in found.groups() if group and not re.match(r"[#\d]", group))
    return named.lower() in ("right", "rs")
