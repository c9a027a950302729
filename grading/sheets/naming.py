"""Where entries name lines: which of their keys hold names or formulas, and which words there are names."""

import re
from collections.abc import Iterator
from typing import Any

# Keys whose content names lines or computes with them, wherever in an entry they stand.
NAMING = frozenset(
    {
        "formula", "holds", "from", "to", "over", "each", "first", "plain_end", "change", "in", "width",
        "depth", "fabric", "count", "edge", "start", "stripes", "worked", "rows", "extra", "outline", "value",
        "curve", "curves", "compares_to",
    }
)  # fmt: skip
# Keys of these parts that look the same and name nothing.
SAYING = {
    "stripes": frozenset({"change"}),
    "pieces": frozenset({"from", "to"}),
    "fabrics": frozenset({"rows"}),
    "values": frozenset({"to"}),
    "pick_ups": frozenset({"to"}),
}
# A word, but not the part of a name behind a point, such as the stitches of a fabric.
_WORD = re.compile(r"(?<![A-Za-z0-9_.])[a-z][a-z0-9_]*", re.ASCII)


def is_naming(part: str, key: str) -> bool:
    """Whether a key of an entry of a part holds names or a formula."""
    return key in NAMING and key not in SAYING.get(part, ())


def names_in(part: str, content: Any, key: str = "") -> Iterator[str]:
    """The words of an entry that may name lines, and the options that it hangs on, in order."""
    if isinstance(content, dict):
        for inner_key, inner in content.items():
            if inner_key == "when":
                yield from inner
            elif inner_key == "option":
                yield inner
            else:
                yield from names_in(part, inner, inner_key)
    elif isinstance(content, list):
        for inner in content:
            yield from names_in(part, inner, key)
    elif isinstance(content, str) and is_naming(part, key):
        yield from _WORD.findall(content)
