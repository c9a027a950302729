"""What is offered while the instructions are written: names for braces, and blocks of sizes and choices."""

import re
from collections.abc import Sequence

from django.urls import reverse

from catalogue.models import Pattern
from grading.core.pattern.pattern import PatternFile
from grading.sheets.documents import Document, entries_of

Word = tuple[str, str, str]

_CURVES = {
    "at start": "worked from its start",
    "at end": "worked from its end",
    "at both ends": "at both its ends",
    "reversed": "in reverse",
}
_BARE = re.compile(r"[\w½¼¾/+-]+")


def reference_words(core: PatternFile) -> list[Word]:
    """What may stand in braces: as it is written, its label, and what it is."""
    words: list[Word] = [(one.name, one.label, one.kind) for one in core.values]
    words += [(one.name, one.label, "body measurement") for one in core.body]
    for shaping in core.shapings:
        words.append((shaping.name, _called(shaping.name), "shaping, as a sentence"))
        told = f"{_called(shaping.name)}, reversed"
        words.append((f"{shaping.name} reversed", told, "shaping, from its last row to its first"))
    words += [(one.name, _called(one.name), "spread over a row, as a sentence") for one in core.spreads]
    for one in core.pick_ups:
        words.append((one.name, _called(one.name), "pick-up, its number"))
        words.append((f"{one.name} in words", f"{_called(one.name)}, in words", "how it is picked up"))
    words += [(one.name, _called(one.name), "stripe sequence") for one in core.stripes]
    for curve in core.curves:
        words += [
            (f"{curve.name} {end}", f"{_called(curve.name)}, {end}", f"curve, row by row, {says}")
            for end, says in _CURVES.items()
        ]
    return words


def _called(name: str) -> str:
    """A name as words."""
    return name.replace("_", " ").capitalize()


def block_words(core: PatternFile) -> list[Word]:
    """What a block may be printed for: as it is written, in words, and what it is."""
    words = choice_blocks(core)
    first, last = (quoted(core.sizes[0]), quoted(core.sizes[-1])) if core.sizes else ("", "")
    for size in core.sizes if len(core.sizes) > 1 else ():
        words.append((f"only sizes={quoted(size)}", f"Only size {size}", "block"))
        if quoted(size) not in (first, last):
            words.append((f"only sizes={quoted(size)}..{last}", f"Sizes {size} and larger", "block"))
            words.append((f"only sizes={first}..{quoted(size)}", f"Sizes {size} and smaller", "block"))
    return words


def choice_blocks(core: PatternFile) -> list[Word]:
    """The blocks that are printed for one choice of an option."""
    return [
        (f"when {option.name}={quoted(choice)}", f"{option.label}: {choice}", "block")
        for option in core.options
        for choice in option.choices
    ]


def quoted(word: str) -> str:
    """A size or choice as a block has it: in quotation marks unless it is a word by itself."""
    return word if _BARE.fullmatch(word) else f'"{word}"'


def typed_block(core: PatternFile, kind: str, first: str, last: str) -> str:
    """The words of a block as chosen beside a text: those of a choice, or sizes from one to another."""
    if kind in {words for words, _, _ in choice_blocks(core)}:
        return kind
    sizes: Sequence[str] = core.sizes
    start, end = (sizes.index(one) if one in sizes else 0 for one in (first, last))
    start, end = min(start, end), max(start, end)
    to = f"..{quoted(sizes[end])}" if end > start else ""
    return f"only sizes={quoted(sizes[start])}{to}"


def entry_links(pattern: Pattern, document: Document) -> dict[str, str]:
    """The address of the page of each entry that a number may come from, by its name."""
    links = {}
    for part in ("stripes", "curves", "spreads", "shapings", "pick_ups", "body"):
        for place, (name, _) in enumerate(entries_of(document, part)):
            links[name] = reverse("entry", args=[pattern.slug, part, place])
    for name, _ in entries_of(document, "values"):
        links[name] = reverse("value", args=[pattern.slug, name])
    return links
