"""A pattern that remembers which of its parts were read: nobody lists by hand what a result hangs on."""

from collections.abc import Mapping
from dataclasses import fields
from types import MappingProxyType, MethodType
from typing import Any, cast

from grading.core.pattern.pattern import PatternFile, differ

# What a result may be made from; the file as typed and what is kept aside are no parts.
PARTS = frozenset(field.name for field in fields(PatternFile) if field.compare)
_NOTHING: Mapping[str, Any] = MappingProxyType({})


class _WatchedPattern:
    """Hands out the parts of a pattern and writes down which."""

    def __init__(self, pattern: PatternFile, read: set[str], instead: Mapping[str, Any]) -> None:
        self._pattern, self._read, self._instead = pattern, read, instead

    def __getattr__(self, name: str) -> Any:
        """Return a part; a method of patterns reads its parts through this too."""
        if name in self._instead:
            return self._instead[name]
        if name in PARTS:
            self._read.add(name)
            return getattr(self._pattern, name)
        return MethodType(getattr(PatternFile, name), self)


def watched(pattern: PatternFile, read: set[str], instead: Mapping[str, Any] = _NOTHING) -> PatternFile:
    """Watch what is read of a pattern.

    Args:
        pattern: The pattern.
        read: Takes the names of the parts that are read, such as "fabrics".
        instead: Parts that stand in for the pattern's own; reading them is not written down.

    Returns:
        What reads like the pattern; the file as typed and what is kept aside can't be read through it.

    Source: derived.

    >>> read = set()
    >>> watched(PatternFile("Scarf", "knitting", "cm", "UK", ("one",)), read).option_choices(), read
    ({}, {'options'})
    """
    return cast("PatternFile", _WatchedPattern(pattern, read, instead))


def differing_parts(old: PatternFile, new: PatternFile) -> frozenset[str]:
    """Return the names of the parts in which two patterns differ.

    Args:
        old: A pattern.
        new: Another.

    Returns:
        Names such as "fabrics"; none for the same pattern.

    Source: derived.
    """
    return frozenset(part for part in PARTS if differ(getattr(old, part), getattr(new, part)))
