"""Which numbers print otherwise in the steps after an edit, of the words or of the values behind them."""

import re
from collections import Counter
from collections.abc import Collection, Iterator
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from functools import lru_cache
from itertools import zip_longest
from math import nan
from typing import cast

from grading.core.instructions.blocks import read_blocks, sizes_kept
from grading.core.instructions.facts import Facts
from grading.core.instructions.filling import Filler, plain_text
from grading.core.instructions.references import Reference, parse_references
from grading.core.instructions.steps import render_step
from grading.core.pattern.pattern import PatternFile
from grading.core.printing.edition import PrintForm, Terms, Units
from grading.core.printing.measures import printed_lists

MOST_COMPARED = 40_000  # pairs of numbers; in longer stretches each is compared with the one in its place
_NUMBER = re.compile(r"[−-]?\d+(?:\.\d+)?[¼½¾]?|[¼½¾]")

_Options = tuple[tuple[str, tuple[str, ...]], ...]
_Printed = dict[str, str]  # what is printed, by the label of the size


@dataclass(frozen=True)
class PrintChange:
    """A number that prints otherwise: before and after (empty for none), and in which sizes."""

    before: str
    after: str
    sizes: tuple[str, ...]


def print_changes(before: Facts, after: Facts, names: frozenset[str]) -> list[PrintChange]:
    """Compare the numbers that the steps of two states of a pattern print, size by size.

    Args:
        before: The pattern and its numbers before the edit.
        after: The same after it.
        names: Of the entries of the pattern that are others than before, or have other numbers.

    Returns:
        Each number that became another, once, with all sizes where it did (of those that both states have),
        in the order in which they are met; both states in the home units of the later one.

    Source: derived.
    """
    pattern = after.pattern
    home = PrintForm(cast("Units", pattern.home_units), cast("Terms", pattern.home_terms))
    found: dict[tuple[str, str], set[str]] = {}
    for old, new in (*_rewritten(before, after, home), *_renumbered(before, after, home, names)):
        for label in {**old, **new}:
            for pair in number_changes(old.get(label, ""), new.get(label, "")):
                found.setdefault(pair, set()).add(label)
    both = [label for label in pattern.sizes if label in before.pattern.sizes]
    sizes = {pair: tuple(label for label in both if label in where) for pair, where in found.items()}
    return [PrintChange(*pair, where) for pair, where in sizes.items() if where]


def _steps(pattern: PatternFile) -> Counter[str]:
    """Return the steps, each as often as it stands there."""
    return Counter(step for section in pattern.sections for step in section.steps)


def _rewritten(before: Facts, after: Facts, home: PrintForm) -> Iterator[tuple[_Printed, _Printed]]:
    """Print the steps that were written anew, in order, beside those that stood there before."""
    old, new = _steps(before.pattern), _steps(after.pattern)
    for gone, come in zip_longest((old - new).elements(), (new - old).elements(), fillvalue=""):
        yield _printed_step(gone, before, home), _printed_step(come, after, home)


def _printed_step(text: str, facts: Facts, home: PrintForm) -> _Printed:
    """Print a step for each size by itself."""
    return {
        label: " ".join(part.text for part in render_step(text, facts, replace(home, sizes=label)))
        for label in facts.pattern.sizes
    }


def _renumbered(
    before: Facts, after: Facts, home: PrintForm, names: frozenset[str]
) -> Iterator[tuple[_Printed, _Printed]]:
    """Print the references to what changed, in the steps whose words are the same."""
    pattern = after.pattern
    options = tuple(pattern.option_choices().items())
    same = _steps(before.pattern) & _steps(pattern) if names else Counter()
    found = (one for step in same for one in _references(step, pattern.sizes, options))
    for reference, places in dict.fromkeys(found):
        if _is_one_of(names, reference):
            kept = [pattern.sizes[place] for place in places]
            yield (
                _printed_reference(reference, before, home, kept),
                _printed_reference(reference, after, home, kept),
            )


def prints_any(step: str, pattern: PatternFile, names: frozenset[str]) -> bool:
    """Whether a step has a reference to one of these entries, in any size or choice."""
    found = _references(step, pattern.sizes, tuple(pattern.option_choices().items()))
    return any(_is_one_of(names, reference) for reference, _ in found)


def _is_one_of(names: frozenset[str], reference: Reference) -> bool:
    """Whether a reference prints one of these entries, by itself or beside another."""
    return reference.name in names or not names.isdisjoint(reference.extra)


@lru_cache(maxsize=1024)
def _references(
    step: str, sizes: tuple[str, ...], options: _Options
) -> tuple[tuple[Reference, tuple[int, ...]], ...]:
    """Return the references of a step by name, each with the places of the sizes it is printed for."""
    return tuple(
        (replace(piece, offset=0), sizes_kept(passage.conditions, len(sizes)))
        for passage in read_blocks(step, sizes, dict(options)).passages
        for piece in parse_references(passage.text).pieces
        if isinstance(piece, Reference) and piece.name
    )


def _printed_reference(
    reference: Reference, facts: Facts, home: PrintForm, kept: Collection[str]
) -> _Printed:
    """Print a reference for each size by itself; rows of numbers for all at once."""
    sizes = facts.pattern.sizes
    if reference.form in ("plain", "both") and reference.name in facts.units_of:
        row = [nan if number is None else number for number in facts.row(reference.name)]
        units = "both" if reference.form == "both" else home.units
        lists = printed_lists(facts.units_of[reference.name], row, units)
        texts = [
            " ".join(text or "" for text in of_size)
            for of_size in zip(*(one.texts for one in lists), strict=True)
        ]
        return {label: text for label, text in zip(sizes, texts, strict=True) if label in kept}
    return {
        label: plain_text(Filler(facts, replace(home, sizes=label), (place,)).fill([reference]))
        for place, label in enumerate(sizes)
        if label in kept
    }


def number_changes(before: str, after: str) -> Iterator[tuple[str, str]]:
    """Pair the numbers of two printed texts that became others, came or went."""
    if before == after:
        return
    old, new = _NUMBER.findall(before), _NUMBER.findall(after)
    if len(old) * len(new) in (0, 1) or len(old) * len(new) > MOST_COMPARED:
        yield from (pair for pair in zip_longest(old, new, fillvalue="") if pair[0] != pair[1])
        return
    if new < old:  # sequences match another way from the other end: undoing counts as the edit did
        yield from ((first, second) for second, first in _matched(new, old))
        return
    yield from _matched(old, new)


def _matched(old: list[str], new: list[str]) -> Iterator[tuple[str, str]]:
    """Pair what stands between the numbers that two texts share."""
    for what, old_from, old_to, new_from, new_to in SequenceMatcher(
        None, old, new, autojunk=False
    ).get_opcodes():
        if what != "equal":
            yield from zip_longest(old[old_from:old_to], new[new_from:new_to], fillvalue="")
