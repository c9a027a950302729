"""The smaller and the larger hook or needle by their sizes, where steps first ask for them."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from django.utils.safestring import SafeString

from catalogue.editions.sources import Source
from catalogue.instructions.instructions import PrintedSection
from grading.core.pattern.pattern import PatternFile
from grading.core.pattern.wordings import WIDE_WORDING
from grading.core.tools.needs import is_plain_crochet
from grading.core.tools.tools import US_HOOKS, US_NEEDLES, us_size

# Common practice: an edging takes a tool one or two sizes smaller; half a millimetre is one or two.
THINNER_MM = 0.5

_SMALLER = re.compile(r"\bsmaller (?:\w+ )?(?:needle|hook)\b", re.IGNORECASE)
_ASKED = re.compile(r"\b((?:smaller|larger|regular)(?: Tunisian)?) (?:hook|needle)s?\b(?! \()")
_SIZED = re.compile(r"\b((?:smaller|larger|regular)(?: Tunisian)? (?:hook|needle)s?) \(\d[^()]* mm[^()]*\)")


def asked_tools(pattern: PatternFile) -> dict[str, float]:
    """How thick the smaller and the larger tool are, in mm; none where more than two are used.

    Where all fabrics have the same tool, the smaller one is the next of those on sale.
    """
    sizes = sorted({one.tool_mm for one in pattern.fabrics if one.tool_mm})
    if len(sizes) == 2:
        return dict(zip(("smaller", "larger"), sizes, strict=True))
    if len(sizes) != 1 or not all(one.tool_mm for one in pattern.fabrics):
        return {}
    on_sale = US_NEEDLES if pattern.craft == "knitting" else US_HOOKS
    below = [size for size in on_sale if size <= sizes[0] - THINNER_MM]
    return {"smaller": max(below), "larger": sizes[0]} if below else {}


def asks_smaller(pattern: PatternFile) -> bool:
    """Whether steps ask for a smaller tool, though all fabrics have the same one."""
    words = " ".join(step for section in pattern.sections for step in section.steps)
    return _SMALLER.search(words) is not None and len({one.tool_mm for one in pattern.fabrics}) == 1


def tunisian_tools(pattern: PatternFile) -> dict[str, float]:
    """The hooks of a pattern in Tunisian work and ordinary crochet, in mm, by the words that ask for them.

    Tunisian hooks are told apart where there are two of them, the regular one where it is the only one.
    """
    sizes: dict[bool, set[float]] = {True: set(), False: set()}
    for one in pattern.fabrics:
        if one.tool_mm:
            sizes[is_plain_crochet(one, pattern.craft)].add(one.tool_mm)
    tunisian, regular = sorted(sizes[False]), sorted(sizes[True])
    tools = {"regular": regular[0]} if len(regular) == 1 else {}
    if len(tunisian) == 2:
        tools |= dict(zip(("smaller Tunisian", "larger Tunisian"), tunisian, strict=True))
    return tools


def size_words(size_mm: float, source: Source) -> str:
    """A size as it is bought, to stand in brackets: “4.5 mm, US 7”."""
    name = us_size(size_mm, source.facts.craft) if source.edition.terms == "US" else None
    return f"{size_mm:g} mm" + (f", US {name}" if name else "")


def with_tool_sizes(sections: Sequence[PrintedSection], source: Source) -> list[PrintedSection]:
    """Sections that name the size of each tool where they first ask for it."""
    pattern = source.facts.pattern
    tools = asked_tools(pattern) | (tunisian_tools(pattern) if pattern.craft == "tunisian" else {})
    if not tools or pattern.wording <= WIDE_WORDING:
        return list(sections)
    words = {which: size_words(size, source) for which, size in tools.items()}
    return [replace(one, steps=_named(one.steps, words)) for one in sections]


def without_tool_sizes(words: str) -> str:
    """Words of a step without the sizes behind its tools.

    >>> without_tool_sizes("With smaller hook (3.25 mm, US D-3), chain 9.")
    'With smaller hook, chain 9.'
    """
    return _SIZED.sub(r"\1", words)


def sized_as(words: str, printed: str) -> str:
    """Words of a step whose tools have the sizes that the printed step gives them.

    >>> sized_as("With smaller hook, chain 9.", "With smaller hook (3.25 mm, US D-3), chain 8.")
    'With smaller hook (3.25 mm, US D-3), chain 9.'
    """
    for found in _SIZED.finditer(printed):
        if found.group() not in words:
            words = re.sub(rf"\b{found[1]}\b(?! \()", found.group(), words, count=1)
    return words


def _named(steps: Sequence[SafeString], words: Mapping[str, str]) -> tuple[SafeString, ...]:
    """The steps of one section, each tool with its size once."""
    told: set[str] = set()

    def name(found: re.Match[str]) -> str:
        which = found[1]
        if which in told or which not in words:
            return found.group()
        told.add(which)
        return f"{found.group()} ({words[which]})"

    return tuple(SafeString(_ASKED.sub(name, step)) for step in steps)
