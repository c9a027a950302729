"""What changed between versions, as printed: numbers in the units asked for, words with their marks."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from math import ceil, nan
from typing import Any, cast

from catalogue.versions.changed_sentences import changed_sentences, for_sizes, without_other_sizes
from catalogue.versions.changes import MORE_WEIGHT, Changes, EntryChange, NumberChange, WordChange
from catalogue.versions.records import Record
from grading.core.pattern.wordings import FIRST_WORDING, NEWEST_WORDING, WIDE_WORDING
from grading.core.printing.edition import PrintForm, Units
from grading.core.printing.measures import printed_lists
from grading.core.printing.numbers import DASH, GRAMS_PER_OUNCE, print_grams_to_buy, print_ounces

PRECISE_DIGITS = 2
MOST_NUMBERS = 60
TO_BUY = "weight to buy"


@dataclass(frozen=True)
class NumberRow:
    """The changed numbers of one value: (size, before, after), or (size, "", what is more)."""

    label: str
    cells: tuple[tuple[str, str, str], ...]
    name: str = field(default="", compare=False)


@dataclass(frozen=True)
class SentenceChange:
    """A sentence of a step as it was and as it is; "" where there was or is none."""

    section: str
    step: int
    old: str
    new: str


@dataclass(frozen=True)
class PrintedChanges:
    """What an edition says about its version: since which, numbers, words; or how many numbers."""

    since: str
    numbers: list[NumberRow]
    changed_numbers: int
    words: list[WordChange]
    sentences: tuple[SentenceChange, ...] = ()
    concerns: str = ""

    @property
    def tells_nothing(self) -> bool:
        """Whether nothing has changed for the sizes of the edition."""
        return not self.changed_numbers and not self.sentences


def printed_changes(
    record: Record, edition: PrintForm, sizes: Sequence[str], in_terms: Callable[[str], str] = str
) -> PrintedChanges | None:
    """What changed since the version before, for the sizes of an edition; None for a first version.

    `in_terms` puts words of the pattern into the terms of the edition.
    """
    frozen = record.get("changes")
    if not frozen:
        return None
    changes = thawed_changes(frozen)
    kept = [one for one in changes.numbers if one.size in sizes]
    wording = record.get("wording", FIRST_WORDING)
    inches_first = edition.inches_first and wording > WIDE_WORDING
    few = Changes(numbers=kept if len(kept) <= MOST_NUMBERS else [])
    rows = number_rows(few, edition.units, wording, inches_first=inches_first)
    count = len({one.name for one in kept})
    if wording <= WIDE_WORDING:
        return PrintedChanges(str(frozen["since"]), rows, count, changes.words)
    rows = [replace(row, label=in_terms(row.label)) for row in rows]
    told = tuple(_sentences(changes.words, record["results"]["sizes"], sizes, in_terms))
    concerns = "for this size" if len(sizes) == 1 else "for these sizes"
    is_whole = len(sizes) == len(record["results"]["sizes"])
    return PrintedChanges(
        str(frozen["since"]), rows, count, changes.words, told, "" if is_whole else concerns
    )


def _sentences(
    words: Sequence[WordChange], every: Sequence[str], sizes: Sequence[str], in_terms: Callable[[str], str]
) -> Iterator[SentenceChange]:
    """Whole sentences, old and new; of what concerns the sizes of an edition, with their numbers alone."""
    kept = [place for place, size in enumerate(every) if size in sizes]

    def told(text: str) -> str:
        """What concerns these sizes."""
        if len(kept) == len(every):
            return text
        return for_sizes(without_other_sizes(text, kept, every), kept, len(every))

    for change in words:
        for pair in changed_sentences(change.pieces, told):
            old, new = (in_terms(text) for text in pair)
            if old != new:
                yield SentenceChange(in_terms(change.section), change.step, old, new)


def thawed_changes(frozen: dict[str, Any]) -> Changes:
    """The changes of a record as they were computed."""
    words = [
        WordChange(one["section"], one["step"], tuple((mark, text) for mark, text in one["pieces"]))
        for one in frozen["words"]
    ]
    return Changes(
        numbers=[NumberChange(**one) for one in frozen["numbers"]],
        words=words,
        entries=[EntryChange(**one) for one in frozen["entries"]],
    )


def number_rows(
    changes: Changes,
    units: str,
    wording: int = NEWEST_WORDING,
    *,
    inches_first: bool = False,
    balls: tuple[Mapping[str, float], Mapping[str, float]] = ({}, {}),
) -> list[NumberRow]:
    """Changed numbers grouped by value and printed as old and new.

    `balls` are what a ball of each colour weighed and weighs, g: an amount of yarn then tells its balls too.
    """

    def printed(kind: str, number: float | None) -> str:
        """A number as the trade prints it."""
        is_bought = kind in (TO_BUY, MORE_WEIGHT)
        if is_bought and number is not None and wording > WIDE_WORDING:
            grams, ounces = f"{print_grams_to_buy(number)} g", f"{_ounces_to_buy(number)} oz"
            own = [ounces, grams] if inches_first else [grams, ounces]
            return {"cm": grams, "in": ounces}.get(units, " / ".join(own))
        row, known = [nan if number is None else number], "weight" if is_bought else kind
        lists = printed_lists(known, row, cast("Units", units), wording)
        told = lists[::-1] if inches_first else lists
        return " / ".join(f"{one.texts[0] or DASH} {one.unit}".rstrip() for one in told)

    grouped: dict[str, list[NumberChange]] = {}
    for change in changes.numbers:
        grouped.setdefault(change.name, []).append(_as_bought(change) if wording > WIDE_WORDING else change)
    rows = [_number_row(group, printed, balls) for group in grouped.values()]
    return [row for row in rows if row.cells]


def _as_bought(change: NumberChange) -> NumberChange:
    """An amount of yarn as one that is bought; any other number as it is."""
    is_yarn = change.name.startswith("yarn.") and change.kind == "weight"
    return replace(change, kind=TO_BUY) if is_yarn else change


def _ounces_to_buy(weight_g: float) -> str:
    """Ounces up to the next quarter, as the tables of yarn have them."""
    return print_ounces(ceil(weight_g / GRAMS_PER_OUNCE * 4 - 1e-9) / 4 * GRAMS_PER_OUNCE)


def _number_row(
    group: Sequence[NumberChange],
    printed: Callable[[str, float | None], str],
    balls: tuple[Mapping[str, float], Mapping[str, float]],
) -> NumberRow:
    """One value; when what is printed would look the same, both numbers are given more exactly."""
    cells = []
    for change in group:
        if change.kind == MORE_WEIGHT:
            more = printed(MORE_WEIGHT, abs(change.new or 0))
            cells.append((change.size, "", f"{'−' if (change.new or 0) < 0 else '+'} {more}"))
            continue
        old, new = (printed(change.kind, number) for number in (change.old, change.new))
        if old == new and change.kind == TO_BUY:
            continue  # a maker buys as much as before
        if old == new:
            old, new = _precise(change.kind, change.old), _precise(change.kind, change.new)
        if change.kind == TO_BUY:
            colour = change.name.split(".")[1]
            old += _balls_beside(change.old, balls[0].get(colour))
            new += _balls_beside(change.new, balls[1].get(colour))
        cells.append((change.size, old, new))
    return NumberRow(group[0].label, tuple(cells), group[0].name)


def _balls_beside(weight_g: float | None, ball_g: float | None) -> str:
    """The balls that hold an amount, to stand behind its grams: " (9 balls)"."""
    if weight_g is None or not ball_g:
        return ""
    count = ceil(weight_g / ball_g - 1e-9)
    return f" ({count} {'ball' if count == 1 else 'balls'})"


def _precise(kind: str, number: float | None) -> str:
    """A number with more decimals than the trade prints."""
    if number is None:
        return DASH
    if kind == "length":
        return f"{number / 10:.{PRECISE_DIGITS}f} cm"
    unit = {"weight": " g", "yarn": " m"}.get(kind, "")
    return f"{number:.{PRECISE_DIGITS}f}{unit}"
