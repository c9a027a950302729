"""Marks of helps in the steps of a pattern: which are there, and where others would be of use."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from catalogue.models import Help
from catalogue.versions.frozen_helps import named_helps
from grading.core.instructions.references import helps_named, parse_references, words_only
from grading.core.pattern.pattern import PatternFile

# Shorter words are abbreviations, whose letters matter: “sc” is not “SC”.
LONGEST_ABBREVIATION = 4


@dataclass(frozen=True)
class NamedHelp:
    """A help that steps name: its number, its name, the help (None = there is none), and the steps."""

    number: int
    name: str
    found: Help | None
    places: tuple[tuple[int, int], ...]


@dataclass(frozen=True)
class Suggestion:
    """A help that explains a word of a step, which does not name it yet."""

    found: Help
    term: str
    section: int
    step: int


def helps_in(core: PatternFile) -> list[NamedHelp]:
    """The helps that the steps of a pattern name, in the order of their numbers."""
    numbers = named_helps(core)
    known = {one.name: one for one in Help.objects.filter(name__in=numbers)}
    where: dict[str, list[tuple[int, int]]] = {}
    for i, j, step in _steps(core):
        for name in helps_named([step]):
            where.setdefault(name, []).append((i, j))
    return [NamedHelp(number, name, known.get(name), tuple(where[name])) for name, number in numbers.items()]


def suggested_helps(core: PatternFile) -> list[Suggestion]:
    """Helps that no step names and that explain a word of one: each at the first such step."""
    named = named_helps(core)
    fitting = Help.objects.exclude(name__in=named).filter(craft__in=("", core.craft))
    found = ((one, first_place(_with_shorts(one.terms, core), core)) for one in fitting)
    return [Suggestion(one, *place) for one, place in found if place is not None]


def _with_shorts(terms: Iterable[str], core: PatternFile) -> list[str]:
    """Words that a help explains, and the pattern's own abbreviations of them."""
    named = {one.casefold() for one in terms}
    return [*terms, *(short for short, meaning in core.own_shorts().items() if meaning.casefold() in named)]


def first_place(terms: Iterable[str], core: PatternFile) -> tuple[str, int, int] | None:
    """Where a step uses one of these words first: the word, and the places of section and step from 0."""
    finders = [(term, _finder(term)) for term in terms]
    for i, j, step in _steps(core):
        text = words_only(step, parse_references(step))
        for term, finder in finders:
            if finder.search(text):
                return term, i, j
    return None


def _finder(term: str) -> re.Pattern[str]:
    """What finds a word that stands by itself, alone or as several."""
    flags = re.NOFLAG if len(term) <= LONGEST_ABBREVIATION else re.IGNORECASE
    return re.compile(rf"(?<![A-Za-z-]){re.escape(term)}(?:e?s)?(?![A-Za-z-])", flags)


def _steps(core: PatternFile) -> Iterator[tuple[int, int, str]]:
    """Every step with the places of its section and itself, from 0."""
    for i, section in enumerate(core.sections):
        for j, step in enumerate(section.steps):
            yield i, j, step


def with_mark(step: str, name: str) -> str:
    """A step with the mark of a help at its end, before a block that ends it.

    >>> with_mark("Chain 10.", "chains")
    'Chain 10. {help chains}'
    """
    lines = step.rstrip().split("\n")
    last = max(
        (k for k, line in enumerate(lines) if not line.lstrip().startswith(":::")), default=len(lines) - 1
    )
    lines[last] = f"{lines[last].rstrip()} {{help {name}}}"
    return "\n".join(lines)
