"""The parts of a piece in rows that are worked in rounds, as a neckband: which stitches, on which needle."""

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from grading.core.pattern.pattern import PatternFile

_ROUNDS = re.compile(
    r"\b(?:in the round|rounds|(?:each|every|next|last|first) round|round \d+)\b", re.IGNORECASE
)
_ROWS = re.compile(r"\brows?\b(?! ends?\b)", re.IGNORECASE)
_SMALLER = re.compile(r"\bsmaller (?:\w+ )?(?:needle|hook)s?\b", re.IGNORECASE)
_LARGER = re.compile(r"\b(?:larger|regular|main) (?:\w+ )?(?:needle|hook)s?\b", re.IGNORECASE)
_PRINTED = re.compile(r"\{([a-z][a-z0-9_]*)")
_COUNTED = re.compile(r"\{([a-z][a-z0-9_]*)\} st(?:s|itches)\b")
_SENTENCE = re.compile(r"[^.;\n]+")


@dataclass
class PartStitches:
    """The names that steps print: in rounds, in rows, and of each those on the smaller needle."""

    in_rounds: set[str] = field(default_factory=set)
    in_rows: set[str] = field(default_factory=set)
    on_smaller: set[str] = field(default_factory=set)
    on_larger: set[str] = field(default_factory=set)
    is_untold: bool = False
    """Whether the smaller needle is taken up somewhere, and how many stitches are on it is not said."""

    @property
    def rounds_alone(self) -> set[str]:
        """What no step works in rows."""
        return self.in_rounds - self.in_rows


def part_stitches(pattern: PatternFile) -> PartStitches:
    """Return what the steps print in rounds and in rows, and on which needle.

    Args:
        pattern: The pattern as read.

    Returns:
        Names; a step that speaks of both rows and rounds says of none. Where another needle is taken up,
        the stitches that were counted last are on it.

    Source: derived.
    """
    found = PartStitches()
    for section in pattern.sections:
        is_smaller, last = False, set[str]()
        for step in section.steps:
            speaks = bool(_ROUNDS.search(step)), bool(_ROWS.search(step))
            for words, of_smaller in _by_needle(step, is_smaller=is_smaller):
                counted, is_taken = set(_COUNTED.findall(words)), of_smaller and not is_smaller
                names = set(_PRINTED.findall(words)) | (last if is_taken else set())
                found.is_untold = found.is_untold or (is_taken and not counted and not last)
                is_smaller, last = of_smaller, counted or last
                (found.on_smaller if is_smaller else found.on_larger).update(names)
                if speaks == (True, False):
                    found.in_rounds |= names
                if speaks == (False, True):
                    found.in_rows |= names
    return found


def _by_needle(step: str, *, is_smaller: bool) -> Iterator[tuple[str, bool]]:
    """Each sentence, and whether the smaller needle is in use at its end."""
    for sentence in _SENTENCE.findall(step):
        if _SMALLER.search(sentence) or _LARGER.search(sentence):
            is_smaller = _SMALLER.search(sentence) is not None
        yield sentence, is_smaller
