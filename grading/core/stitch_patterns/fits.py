"""How often each size works the repeat of a stitch pattern, and which sizes don't come out."""

from collections.abc import Sequence
from math import isnan

from grading.core.pattern.pattern import StitchPatternEntry


def repeats_in(count: float | None, multiple: int, plus: int) -> int | None:
    """Return how often a repeat is worked.

    Args:
        count: Stitches, a whole number; None or NaN where a size has none.
        multiple: Stitches of one repeat, 1 or more.
        plus: Stitches before and after the repeats, 0 or more.

    Returns:
        Repeats, 1 or more; None where the stitches are no multiple, or none are given.

    Source: common practice (“a multiple of 6 sts plus 3”).

    >>> repeats_in(27, 6, 3), repeats_in(28, 6, 3), repeats_in(3, 6, 3)
    (4, None, None)
    """
    if count is None or isnan(count) or count != round(count):
        return None
    repeats, rest = divmod(round(count) - plus, multiple)
    return repeats if rest == 0 and repeats > 0 else None


def stitches_over(count: float, multiple: int, plus: int) -> int:
    """Return the stitches beyond whole repeats.

    Args:
        count: Stitches.
        multiple: Stitches of one repeat, 1 or more.
        plus: Stitches before and after the repeats.

    Returns:
        0 where it comes out; all beyond the edges where there is no whole repeat, and all there are
        where even the edges need more.

    Source: derived.

    >>> stitches_over(28, 6, 3), stitches_over(2, 6, 3)
    (1, 2)
    """
    beyond = round(count) - plus
    return round(count) if beyond < 0 else beyond % multiple


def multiple_words(entry: StitchPatternEntry) -> str:
    """Return the multiple as the trade says it.

    Args:
        entry: The stitch pattern.

    Source: common practice.

    >>> multiple_words(StitchPatternEntry("trellis", "Trellis", 6, 3))
    'a multiple of 6 sts plus 3'
    """
    if entry.multiple == 1:
        return "any number of sts" if not entry.plus else f"any number of sts above {entry.plus}"
    return f"a multiple of {entry.multiple} sts" + (f" plus {entry.plus}" if entry.plus else "")


def misfit_sentence(entry: StitchPatternEntry, label: str, count: float) -> str:
    """Say that the stitches of a size don't fit, and which counts near would.

    Args:
        entry: The stitch pattern.
        label: What is counted.
        count: Its stitches in the size.

    Source: derived.

    >>> misfit_sentence(StitchPatternEntry("trellis", "Trellis", 6, 3), "Back", 28)
    'Trellis needs a multiple of 6 sts plus 3, and Back has 28: 27 or 33 would fit.'
    """
    below, above = _near(count, entry.multiple, entry.plus)
    near = " or ".join(str(one) for one in (below, above) if one is not None)
    return f"{entry.label} needs {multiple_words(entry)}, and {label} has {count:g}: {near} would fit."


def _near(count: float, multiple: int, plus: int) -> tuple[int | None, int]:
    """The counts with whole repeats below and above."""
    repeats = int((count - plus) // multiple)
    below = plus + repeats * multiple if repeats > 0 else None
    return below, plus + max(1, repeats + 1) * multiple


def all_repeats(
    entry: StitchPatternEntry, counts: Sequence[float | None]
) -> tuple[tuple[int | None, ...], tuple[int, ...]]:
    """Return the repeats of every size, and the places of sizes that don't fit.

    Args:
        entry: The stitch pattern.
        counts: Stitches, one per size, in size order.

    Returns:
        One number per size, None where a size has no stitches or doesn't fit; and where it doesn't.

    Source: derived.

    >>> all_repeats(StitchPatternEntry("trellis", "Trellis", 6, 3), [27, None, 28])
    ((4, None, None), (2,))
    """
    repeats = tuple(repeats_in(count, entry.multiple, entry.plus) for count in counts)
    wrong = tuple(
        place
        for place, count in enumerate(counts)
        if count is not None and not isnan(count) and repeats[place] is None
    )
    return repeats, wrong
