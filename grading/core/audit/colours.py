"""The colour of rows: the yarn named in the words, or the stripes that a step prints by reference."""

import re
from dataclasses import dataclass
from functools import lru_cache

from grading.core.instructions.facts import Facts
from grading.core.instructions.references import Reference, parse_references
from grading.core.yarn.stripes import StripeRepeat, row_colours

_NAMED = re.compile(
    r"\b(?i:with|in|to|using|join|yarn|colou?r)\s+(?:yarn\s+|colou?r\s+)?([A-Z])\b(?!['’-])"
)  # upper case: a yarn's letter; “a” is an article


@lru_cache(maxsize=20_000)
def _named_in(text: str) -> list[str]:
    return _NAMED.findall(text)


@lru_cache(maxsize=20_000)
def _references_in(text: str) -> tuple[str, ...]:
    return tuple(piece.name for piece in parse_references(text).pieces if isinstance(piece, Reference))


@dataclass(frozen=True)
class Stripes:
    """Stripes that begin after so many rows of a section."""

    sequence: StripeRepeat
    begun: int
    used: int


class Colours:
    """The colours of one section in one size, as its sentences name them."""

    def __init__(self, facts: Facts, size: int) -> None:
        """Begin with the only colour, where there is one alone."""
        self.facts = facts
        self.size = size
        self.roles = [yarn.colour for yarn in facts.pattern.yarns]
        self.named = self.roles[0] if len(self.roles) == 1 else ""
        self.stripes: Stripes | None = None

    def notice(self, text: str, rows: int) -> None:
        """Take over what a sentence says of colours, before its rows are worked."""
        named = [found for found in _named_in(text) if found in self.roles]
        if named:
            self.named, self.stripes = named[-1], None
        for name in _references_in(text) if self.facts.pattern.stripes else ():
            if self.facts.kinds.get(name) == "stripes":
                self.stripes = self._stripes(name, rows)

    def _stripes(self, name: str, rows: int) -> Stripes:
        stripes = next(one for one in self.facts.pattern.stripes if one.name == name)
        start = self.facts.row(stripes.start)[self.size]
        return Stripes(StripeRepeat(stripes.sequence, stripes.change), rows, round(start or 0))

    def of_rows(self, before: int | None, after: int | None) -> tuple[str, ...]:
        """The colours of the rows from one count of rows to another, in the order in which they come."""
        if self.stripes is None or before is None or after is None:
            return (self.named,) if self.named else ()
        first = max(0, before - self.stripes.begun)
        rows = row_colours(self.stripes.sequence, max(0, after - before), first + self.stripes.used)
        return tuple(dict.fromkeys(rows))
