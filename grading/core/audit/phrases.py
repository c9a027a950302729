"""Phrases: rows of words that mean the same, with choices in them, and the longest that fits a text."""

import re

Options = tuple[tuple[str, ...], ...]
CHOICE = re.compile(r"<([^<>]*)>|([^<>\s]+)")


class Phrases:
    """Phrases that mean the same; `<the|>` in one stands for any of its words, or for none.

    >>> ends = Phrases("to <the|> <end|last st>", "across")
    >>> ends.length(["to", "the", "last", "st", "."], 0), ends.length(["to", "2"], 0)
    (4, 0)
    """

    def __init__(self, *texts: str) -> None:
        self._plain: dict[str, dict[int, set[tuple[str, ...]]]] = {}
        self._chosen: dict[str, list[tuple[Options, ...]]] = {}
        for text in texts:
            self._add(_parts(text))

    def _add(self, parts: tuple[Options, ...]) -> None:
        if all(len(options) == 1 for options in parts):
            words = tuple(word for options in parts for word in options[0])
            self._plain.setdefault(words[0], {}).setdefault(len(words), set()).add(words)
            return
        for word in _first_words(parts):
            self._chosen.setdefault(word, []).append(parts)

    def length(self, texts: list[str], place: int) -> int:
        """How many words the longest phrase that begins at `place` has; 0 when none fits."""
        first = texts[place]
        longest = 0
        for length, known in self._plain.get(first, {}).items():
            if length > longest and tuple(texts[place : place + length]) in known:
                longest = length
        for parts in self._chosen.get(first, ()):
            longest = max(longest, _furthest(parts, texts, place) - place)
        return longest


def _parts(text: str) -> tuple[Options, ...]:
    """A phrase as its parts in order, each with its options."""
    parts: list[Options] = []
    for match in CHOICE.finditer(text):
        choice, word = match.groups()
        options = ((word,),) if choice is None else tuple(tuple(one.split()) for one in choice.split("|"))
        parts.append(options)
    return tuple(parts)


def _first_words(parts: tuple[Options, ...]) -> set[str]:
    found: set[str] = set()
    for options in parts:
        found |= {option[0] for option in options if option}
        if all(options):
            return found
    raise ValueError(f"a phrase may not be empty: {parts}")


def _furthest(parts: tuple[Options, ...], texts: list[str], place: int) -> int:
    """The furthest place that a phrase reaches, or `place` when it does not fit."""
    places = {place}
    for options in parts:
        places = {
            start + len(option)
            for start in places
            for option in options
            if tuple(texts[start : start + len(option)]) == option
        }
        if not places:
            return place
    return max(places)
