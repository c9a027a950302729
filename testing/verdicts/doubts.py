"""What a doubtful measurement or gauge looks like, in words; pure."""

from collections.abc import Mapping

from testing.access.typed import GAUGE_SPAN_MM, GAUGE_SPAN_NAMES
from testing.verdicts.sentences import Found

LOOKS_LIKE = {
    "inches": "inches written as centimetres",
    "flat": "a width laid flat",
    "doubled": "a doubled width",
    "digits": "two digits swapped",
    "neighbour": "the value of another line",
    "unclear": "a number that the other results do not explain",
}
GAUGE_LOOKS_LIKE = {
    "inch": "a count over one inch",
    "point": "a tenth of the count, the decimal point misplaced",
    "no_point": "ten times the count, the decimal point left out",
    "half": "half of the count",
    "double": "twice the count",
    "swapped": "stitches and rows swapped",
    "rows": "the rows typed for the stitches too",
    "stitches": "the stitches typed for the rows too",
}
ALONE = {"_sts": " (the stitches alone)", "_row": " (the rows alone)"}


def doubt_sentence(doubt: Found, labels: Mapping[str, str]) -> str:
    """Say what a doubtful entry looks like."""
    if doubt["looks_like"] == "neighbour":
        return f"looks like the value of “{labels.get(doubt['neighbour'], doubt['neighbour'])}”"
    return f"looks like {LOOKS_LIKE[doubt['looks_like']]}"


def gauge_words(looks_like: str) -> str:
    """What a doubtful gauge looks like.

    >>> gauge_words("inch_row")
    'a count over one inch (the rows alone)'
    """
    alone = next((ending for ending in ALONE if looks_like.endswith(ending)), "")
    return GAUGE_LOOKS_LIKE[looks_like.removesuffix(alone)] + ALONE.get(alone, "")


def gauge_sentence(typed: str, doubt: Found, counted_in: str = "cm", read_in: str = "cm") -> str:
    """Say that a gauge is at fault and not the measurements, what it looks like, and what is not counted.

    It is told over what its tester counted (`counted_in`), and over what the reader counts if that differs.

    >>> doubt = {"looks_like": "inch", "measurements": ["chest", "arm"],
    ...          "would_be": {"stitches": 0.197, "rows": 0.276}}
    >>> for says in gauge_sentence("5 stitches and 7 rows over 10 cm", doubt).split(". "):
    ...     print(says)
    this gauge, not these measurements: 5 stitches and 7 rows over 10 cm looks like a count over one inch
    Read as 19.7 stitches and 27.6 rows over 10 cm, it explains them
    2 measurements are not counted until you decide.
    """
    as_read = f"{_read_as(doubt, counted_in)} over {GAUGE_SPAN_NAMES[counted_in]}"
    if read_in != counted_in:
        as_read += f" ({_read_as(doubt, read_in)} over {GAUGE_SPAN_NAMES[read_in]})"
    count = len(doubt["measurements"])
    kept = "1 measurement is" if count == 1 else f"{count} measurements are"
    return (
        f"this gauge, not these measurements: {typed} looks like {gauge_words(doubt['looks_like'])}. "
        f"Read as {as_read}, it explains them. "
        f"{kept} not counted until you decide."
    )


def _read_as(doubt: Found, units: str) -> str:
    """A gauge as it is read, over 10 cm or 4 in: "19.7 stitches and 27.6 rows"."""
    stitches, rows = (
        f"{doubt['would_be'][part] * GAUGE_SPAN_MM[units]:.1f}" for part in ("stitches", "rows")
    )
    return f"{stitches} stitches and {rows} rows"
