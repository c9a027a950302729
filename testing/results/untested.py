"""Sizes that nobody has sent a measurement of yet."""

from collections.abc import Sequence

from catalogue.models import Pattern
from testing.asked.figures import call_figures
from testing.models import Entry, TestCall


def untested_sizes(pattern: Pattern, sizes: Sequence[str]) -> list[str]:
    """The sizes of a pattern with no result in any of its calls, in size order."""
    measured = Entry.objects.filter(result__call__pattern=pattern, part="measured")
    tested = set(measured.values_list("result__size", flat=True))
    return [size for size in sizes if size not in tested]


def untested_sentence(missing: Sequence[str], sizes: Sequence[str]) -> str:
    """What is said of them in one line; nothing where every size has a result.

    >>> untested_sentence(["3X", "4X"], ["2X", "3X", "4X"])
    'Sizes with no tester’s result yet: 3X, 4X.'
    """
    if not missing:
        return ""
    if len(missing) == len(sizes):
        return "No tester’s result yet in any size."
    return f"{'Size' if len(missing) == 1 else 'Sizes'} with no tester’s result yet: {', '.join(missing)}."


def untested_of_pattern(pattern: Pattern, sizes: Sequence[str]) -> str:
    """The line about a pattern, over all its calls."""
    return untested_sentence(untested_sizes(pattern, sizes), sizes)


def untested_of_call(call: TestCall) -> str:
    """The line about one call."""
    sizes = call_figures(call).pattern.sizes
    measured = Entry.objects.filter(result__call=call, part="measured")
    tested = set(measured.values_list("result__size", flat=True))
    return untested_sentence([size for size in sizes if size not in tested], sizes)
