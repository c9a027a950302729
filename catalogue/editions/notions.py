"""What else is needed beside yarn and tools: how many or how long, for which sizes and which choices."""

import re
from collections.abc import Sequence
from math import isnan, nan

from grading.core.instructions.facts import Facts
from grading.core.instructions.steps import when_label, when_told
from grading.core.pattern.pattern import NotionEntry
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.edition import PrintForm
from grading.core.printing.measures import print_measure, print_value, printed_lists
from grading.core.printing.numbers import MM_PER_INCH, half_up, number_list
from grading.core.printing.wording import listed, size_names

_METRIC = re.compile(r"(?P<number>\d+(?:\.\d+)?) ?(?P<unit>[mc]m)(?P<rest>(?: [a-z]+)*)")
# From this on centimetres are told in whole inches, as needles and zips are sold. Source: common practice.
_LONG_CM = 20.0
_EIGHTHS = ("", "⅛", "¼", "⅜", "½", "⅝", "¾", "⅞")


def notion_lines(facts: Facts, edition: PrintForm, kept: Sequence[int]) -> list[str]:
    """One line for each that a size of the edition needs; for none of them it is left out."""
    if facts.pattern.wording == FIRST_WORDING:
        return [_first_line(notion, facts, kept) for notion in facts.pattern.notions]
    lines = (_line(notion, facts, edition, kept) for notion in facts.pattern.notions)
    return [line for line in lines if line]


def _line(notion: NotionEntry, facts: Facts, edition: PrintForm, kept: Sequence[int]) -> str:
    """As “– (4, 5) buttons, 18 mm (sizes 4y and 6y only)”; a length stands with its unit."""
    numbers = _numbers(notion, facts)
    needing = [place for place in kept if numbers[place] and not isnan(numbers[place])]
    if not needing and not all(isnan(number) for number in numbers):
        return ""
    kind = facts.units_of.get(notion.count, "count") if isinstance(notion.count, str) else "count"
    if kind != "length":
        kind = "count"
    amount = _amount(kind, numbers, (facts, edition), (kept, needing or kept))
    conditions = [when_told(notion.when, facts, edition)]
    if needing and len(needing) < len(kept):
        names = listed(size_names(needing, facts.voice(edition, tuple(needing))))
        conditions.append(f"size{'s' if needing[1:] else ''} {names} only")
    told = "; ".join(one for one in conditions if one)
    words = f"{amount} {notion.label}" + (f", {_size(notion.size, facts, edition)}" if notion.size else "")
    return f"{words} ({told})" if told else words


def _size(typed: str, facts: Facts, edition: PrintForm) -> str:
    """A size as typed; a metric one with its inches, to the eighth, where the edition has inches."""
    metric = _METRIC.fullmatch(typed)
    if facts.pattern.wording <= WIDE_WORDING or edition.units == "cm" or not metric:
        return typed
    number, unit = float(metric["number"]), metric["unit"]
    step = 1.0 if unit == "cm" and number >= _LONG_CM else 1 / 8
    length = half_up(number * (10.0 if unit == "cm" else 1.0) / MM_PER_INCH, step)
    whole, eighths = divmod(round(length * 8), 8)
    inches = f"{whole or ''}{_EIGHTHS[eighths] if eighths or whole else '⅛'} in"
    return f"{metric['number']} {unit} ({inches}){metric['rest']}"


def _amount(
    kind: str,
    numbers: Sequence[float],
    form: tuple[Facts, PrintForm],
    places: tuple[Sequence[int], Sequence[int]],
) -> str:
    """One number that all sizes that need it share; else every size keeps its place, with a dash for none."""
    kept, needing = places
    shared = _measure(kind, numbers, form, needing)
    if shared == _measure(kind, numbers, form, needing[:1]):
        return shared
    return _measure(kind, [n if at in needing else nan for at, n in enumerate(numbers)], form, kept)


def _measure(
    kind: str, numbers: Sequence[float], form: tuple[Facts, PrintForm], places: Sequence[int]
) -> str:
    """How many or how long; up to the second wording centimetres stood first in every edition."""
    facts, edition = form
    wording = facts.pattern.wording
    if wording <= WIDE_WORDING:
        return print_value(kind, numbers, edition.units, places, wording)
    return print_measure(edition, kind, numbers, places, wording)


def _numbers(notion: NotionEntry, facts: Facts) -> list[float]:
    """How many or how long in each size, NaN where that is not known."""
    return [nan if n is None else float(n) for n in facts.row(notion.count)]


def _first_line(notion: NotionEntry, facts: Facts, kept: Sequence[int]) -> str:
    """A line of the first wording. Never to be changed: records are printed in it."""
    count = number_list(printed_lists("count", _numbers(notion, facts), "cm")[0].texts, kept)
    label = when_label(notion.when, facts.pattern)
    words = f"{count} {notion.label}" + (f", {notion.size}" if notion.size else "")
    return f"{words} ({label})" if label else words
