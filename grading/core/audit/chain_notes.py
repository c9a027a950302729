"""What a pattern says once of the chains that rows begin with: whether they count as stitches."""

import re

# Source: common practice of pattern English; such a note stands once, before the first row.
_ROWS = r"(?:a|an|each|every|all|any|the)?\s*(?:rows?|rounds?|rnds?)"
NOTE = re.compile(
    r"\s*(?:the|each|every|all|any|your)?\s*"
    r"(?:(?:beginning|beg\.?|turning|starting|initial)\s+)?"
    r"(?:t-?ch|ch(?:ain)?s?)(?:[\s-]*(?P<number>[1-4]))?"
    rf"(?:\s+(?:at|on|to)\s+(?:the\s+)?(?:start|beginning|beg\.?)\s+of\s+{_ROWS}(?:\s*(?:or|and|/)\s*{_ROWS})?)?"
    r"\s+(?P<counts>(?:does|do|will)\s+(?:not|never)\s+count|(?:doesn|don)[’']t\s+count|counts?|(?:is|are)\s+counted"
    r"|(?:is|are)\s+not\s+counted)"
    r"(?:\s+as\s+(?:(?:a|an|any|one|1|the)\s+)?(?:first\s+)?\s*[a-z]+)?"
    r"(?:\s+(?:throughout|unless)\b[^;.]*)?\s*(?:[;.,]|$)",
    re.IGNORECASE,
)
HEIGHTS = (2, 3, 4)
"""Turning chains that may stand for a stitch; a single chain never does (common practice)."""


def chain_note(text: str) -> dict[int, tuple[int, bool]]:
    """Which chains at the start of rows count as a stitch from here on; nothing where none is told of.

    Args:
        text: A sentence of a step.

    Returns:
        By the number of chains: 1 where they count as a stitch, 0 where not; no chain space is made.

    Source: common practice.

    >>> chain_note("The ch 2 at the start of each row does not count as a stitch.")
    {2: (0, False)}
    """
    match = NOTE.match(text)
    if match is None:
        return {}
    counts = int(re.search(r"\b(?:not|never)\b|n[’']t\b", match.group("counts").lower()) is None)
    number = match.group("number")
    return dict.fromkeys((int(number),) if number else HEIGHTS, (counts, False))
