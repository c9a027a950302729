"""Counts that nobody can work: none at all, “Knit 0 rounds”, or a half of an odd number."""

import re
from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from grading.core.formula.dimensions import COUNT_KINDS
from grading.core.instructions.blocks import Passage, sizes_kept
from grading.core.instructions.references import (
    Parsed,
    Reference,
    line_and_column,
    parse_references,
    words_only,
)
from grading.core.instructions.steps import passages_of
from grading.core.instructions.terms import cut_at_left_alone
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.calculation import Calculation
from grading.core.sheet.findings import Finding

_COUNTED = r"(?:sts?|stitch(?:es)?|rows?|rounds?|rnds?|times|repeats?|loops?|chs?|chains?)"
# A word before the noun, as in “0 more times”.
_MORE = r"(?:(?:more|further|other|plain|straight) )?"
_TYPED = re.compile(rf"(?<![\w.,–-])0 {_MORE}{_COUNTED}\b", re.IGNORECASE)
_NOUN = re.compile(rf" {_MORE}{_COUNTED}\b", re.IGNORECASE)
TOLERANCE = 1e-9
_LEAVE_OUT = "put that sentence between “::: only sizes=” with the other sizes, and “:::”"

# “half of the {back_stitches} sts” and “half of 6 (8, 9) sts”; a half of many is no number of its own.
_HALF = re.compile(r"(?<!about )\bhalf (?:of )?(?:the |these |those |your |its )?$", re.IGNORECASE)
_HALF_TYPED = re.compile(
    rf"(?<!about )\bhalf (?:of )?(?:the |these |those |your |its )?\d+"
    rf"(?: ?[(\[][\d, ;–-]+[)\]](?: {_COUNTED}\b)?| {_COUNTED}\b)",
    re.IGNORECASE,
)
_SAYS_HALF = "“{}” leaves makers to work it out, and an odd number has no half: write the half of each size."
_SAYS_TYPED = "“{}” tells makers to do nothing: leave it out, or write what they do instead."


@dataclass(frozen=True, slots=True)
class CountUse:
    """A count that a step prints: where, how it is written, what it counts, and for which sizes."""

    where: str
    place: tuple[int, int]
    reference: Reference
    noun: str
    sizes: tuple[int, ...]
    half: str = ""
    """The words before it that halve it."""

    @property
    def more(self) -> int:
        """What is added to the count; a half of it is 0 where it is."""
        if self.reference.form != "sum" or self.reference.extra[0] == "/":
            return 0
        sign, operand = self.reference.extra
        return int(operand) if sign == "+" else -int(operand)


@dataclass(frozen=True, slots=True)
class _Places:
    """A step, and where something stands in it."""

    where: str
    step: str

    def of(self, offset: int) -> tuple[int, int]:
        """The line and column of an offset."""
        return line_and_column(self.step, offset)


@dataclass(frozen=True)
class PrintedCounts:
    """What is known of the words alone: counts that steps print, and zeros that are typed in them."""

    uses: tuple[CountUse, ...]
    typed: tuple[Finding, ...]


def printed_counts(pattern: PatternFile) -> PrintedCounts:
    """Return the counts that the steps print.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Returns:
        A use for each count or pick-up that a sentence prints, and findings (warn) for zeros typed in words.
    """
    names = {value.name for value in pattern.values if value.kind in COUNT_KINDS}
    names |= {one.name for one in pattern.pick_ups}
    uses: list[CountUse] = []
    typed: list[Finding] = []
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            places = _Places(f"sections[{i}].steps[{j}]", step)
            for passage in passages_of(step, pattern).passages:
                parsed = parse_references(passage.text, passage.offset)
                sizes = sizes_kept(passage.conditions, len(pattern.sizes))
                uses += _uses(places, passage, parsed, names, sizes)
                typed += _typed(places, passage, parsed)
    return PrintedCounts(tuple(uses), tuple(typed))


def _uses(
    places: _Places, passage: Passage, parsed: Parsed, names: AbstractSet[str], sizes: tuple[int, ...]
) -> Iterator[CountUse]:
    """The counts that a passage prints."""
    for piece in parsed.pieces:
        if not isinstance(piece, Reference) or piece.name not in names:
            continue
        if piece.form not in ("plain", "sum", "words"):
            continue
        noun = _NOUN.match(passage.text, piece.offset - passage.offset + len(piece.source))
        half = _HALF.search(passage.text, 0, piece.offset - passage.offset)
        yield CountUse(
            places.where,
            places.of(piece.offset),
            piece,
            noun.group() if noun else "",
            sizes,
            half.group() if half and piece.form == "plain" else "",
        )


def _typed(places: _Places, passage: Passage, parsed: Parsed) -> Iterator[Finding]:
    """Zeros that are typed in a passage."""
    words = words_only(passage.text, parsed, passage.offset)
    for stretch, start, quoted in cut_at_left_alone(words):
        for finder, says in () if quoted else ((_TYPED, _SAYS_TYPED), (_HALF_TYPED, _SAYS_HALF)):
            for one in finder.finditer(stretch):
                at = places.of(passage.offset + start + one.start())
                yield Finding(places.where, None, "warn", *at, says.format(one.group()))


def zero_findings(pattern: PatternFile, made: Calculation, printed: PrintedCounts) -> Iterator[Finding]:
    """Find what a step tells a size to do no times.

    Args:
        pattern: The pattern.
        made: Its sheet worked out.
        printed: What its steps print, as `printed_counts` returns it.

    Yields:
        A finding (warn) at the step for each size of which a count is printed as 0, or one for all. A size
        without a number prints a dash, which is how nothing to do is written on purpose. A finding (stop)
        for the first size in which a half does not come out.

    Source: common practice: a row that changes nothing in a size is no 0 in its sentence.
    """
    yield from printed.typed
    symbols = made.program.names.symbols
    lists = {value.name for value in pattern.values if value.source == "list"}
    for use in printed.uses:
        name = use.reference.name
        if name not in symbols:
            continue
        yield from _halves(use, pattern.sizes, made.worked(symbols[name].cell))
        worked = made.worked(symbols[name].cell) + use.more
        may_be_empty = name in lists and use.reference.form == "plain"
        none = [size for size in use.sizes if abs(worked[size]) < TOLERANCE]
        if len(none) > 1 and len(none) == len(use.sizes):
            says = f"{use.reference.source} prints “0{use.noun}” in every size: take that sentence out."
            yield Finding(use.where, None, "warn", *use.place, says)
            continue
        for size in none:
            says = _says(use, pattern.sizes[size], may_be_empty=may_be_empty)
            yield Finding(use.where, pattern.sizes[size], "warn", *use.place, says)


def _halves(use: CountUse, sizes: tuple[str, ...], worked: NDArray[np.float64]) -> Iterator[Finding]:
    """Report half of an odd number, in the sizes that have one."""
    is_worked_out = use.reference.form == "sum" and use.reference.extra[0] == "/"
    if not (is_worked_out or use.half):
        return
    said = f"“{use.half}{use.reference.source}”" if use.half else use.reference.source
    odd = [size for size in use.sizes if abs(worked[size] % 2 - 1) < TOLERANCE]
    if odd:
        more = f" and {len(odd) - 1} more size{'s' if len(odd) > 2 else ''}" if len(odd) > 1 else ""
        says = (
            f"{said} is half of {worked[odd[0]]:.0f} in size {sizes[odd[0]]}{more}: an odd "
            "number has no half. Make that line even, or tell the two parts as two lines."
        )
        yield Finding(use.where, sizes[odd[0]], "stop", *use.place, says)
    elif use.half:
        says = (
            f"{said} leaves makers to work it out: write {{{use.reference.name} / 2}}, which prints the half."
        )
        yield Finding(use.where, None, "warn", *use.place, says)


def _says(use: CountUse, size: str, *, may_be_empty: bool) -> str:
    """Say what is printed, and what to do."""
    empty = "leave it empty in its list, which prints a dash, or " if may_be_empty else ""
    return f"{use.reference.source} prints “0{use.noun}” in size {size}: {empty}{_LEAVE_OUT}."
