"""Special stitches of a pattern, spelled out for the audit: by the bracket of their method."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

from grading.core.audit.cells import Cell
from grading.core.audit.tree import Kind
from grading.core.pattern.pattern import SpecialStitchEntry

MOST_AT_ONCE = 4
"""More of a special stitch than this are hardly worked in one place."""

_GROUP = re.compile(
    r"(?:[^():=]*[:=] *)?(?:(?:work|make) )?\(([^()]*)\) (?:all )?in(?:to)? (?:the )?(?:same|one|next) "
    r"(?:ch(?:ain)?[- ](?:\d+ )?)?(?:place|stitch|st|space|sp|chain|ch|loop|gap)"
    r"(?: or (?:stitch|st|space|sp))?",
    re.IGNORECASE,
)
# What makes a sentence beside the bracket one of more work.
_MORE_WORK = re.compile(r"[\d()]|\b(?:then|skip|miss|work|make|next|following|turn)\b", re.IGNORECASE)
_PART = re.compile(
    r"(?:(?P<many>\d+) )?(?P<chain>ch)?(?P<stitch>[a-z]+)?(?: (?P<chains>\d+))?", re.IGNORECASE
)
_COUNTS_AS = re.compile(r"\bcounts as (\d+) (?:sts|stitches)\b", re.IGNORECASE)
_WHICH = r"(?:(?:each|every|all|the|of|next|following|first|last|one|two|three|four|\d+|\{[^{}]*\}) )+"


@dataclass(frozen=True)
class OwnStitch:
    """A special stitch that is a bracket worked into one place; `cells` are its places for the next row."""

    names: tuple[str, ...]
    group: str
    cells: tuple[Cell, ...]
    space: str
    """What its chain space is called; "" where it has none or several."""
    spaces_count: bool
    """Whether its method counts its chains as stitches."""

    @cached_property
    def name(self) -> str:
        """What finds any of its names, also of several."""
        found = (r"[- ]".join(map(re.escape, re.split(r"[- ]", name))) for name in self.names)
        return rf"(?:{'|'.join(found)})(?:e?s)?\b"

    def spell_out(self, text: str) -> str:
        """Write a text so that it names ordinary stitches and places alone."""
        text = self._places(text) if self.space else text
        return re.sub(
            rf"(?:\b([1-{MOST_AT_ONCE}]) )?\b{self.name}(?= in(?:to)? )",
            self._work,
            text,
            flags=re.IGNORECASE,
        )

    def _work(self, found: re.Match[str]) -> str:
        return f"({', '.join([self.group] * int(found.group(1) or 1))})"

    def _places(self, text: str) -> str:
        """A place in the stitch is the one chain space that it has."""
        within = rf"\b(?:the )?{self.space.removesuffix('ace')}(?:ace)?s? of ({_WHICH}){self.name}"
        text = re.sub(within, rf"\1{self.space}", text, flags=re.IGNORECASE)
        place = rf"\b((?:in|into|to|skip|miss|leave) {_WHICH}){self.name}"
        return re.sub(place, rf"\1{self.space}", text, flags=re.IGNORECASE)

    def is_beneath(self, text: str) -> bool:
        """Whether a row is worked over rows of this stitch, as its words say."""
        return (
            bool(self.space)
            and re.search(rf"\b(?:in|into|of) {_WHICH}{self.name}", text, re.IGNORECASE) is not None
        )

    def laid(self, stitches: int) -> tuple[Cell, ...] | None:
        """The places of so many stitches that are nothing but this one; None where they are no whole ones."""
        number, over = divmod(stitches, sum(cell.number * cell.counted for cell in self.cells))
        return None if over else self.cells * number


def spelled_out(text: str, own: Sequence[OwnStitch]) -> str:
    """A text whose special stitches are written in ordinary ones; without any it stays as it is."""
    for stitch in own:
        text = stitch.spell_out(text)
    return text


def own_stitches(special: Sequence[SpecialStitchEntry]) -> tuple[OwnStitch, ...]:
    """The special stitches whose method says in brackets what is worked into one place.

    Args:
        special: Special stitches of a pattern.

    Returns:
        One for each method that is such a bracket alone, in their order; others are never guessed.

    Source: derived from the form in which the trade writes stitches into one place, common practice.

    >>> method = "Work (1 dc, ch 1, 1 dc) in the same place. It counts as 3 sts."
    >>> stitch = own_stitches([SpecialStitchEntry("v", "V stitch", "V-st", method)])[0]
    >>> stitch.spell_out("V-st in the ch-1 space of each V-st to the last 2 V-sts")
    '(1 dc, ch 1, 1 dc) in each ch-1 space to the last 2 ch-1 space'
    >>> stitch.spell_out("2 V-st in the next V-st")
    '(1 dc, ch 1, 1 dc, 1 dc, ch 1, 1 dc) in the next ch-1 space'
    """
    return tuple(found for one in special if (found := _own_stitch(one)) is not None)


def _own_stitch(special: SpecialStitchEntry) -> OwnStitch | None:
    group = _group(special.method)
    parts = [_PART.fullmatch(part.strip()) for part in group.split(",")]
    if None in parts or not group:
        return None
    made = [(part, int(part["many"] or part["chains"] or 1)) for part in filter(None, parts)]
    spaces = [number for part, number in made if part["chain"] and not part["stitch"]]
    whole = sum(number for _, number in made)
    counted = _COUNTS_AS.search(special.method)
    spaces_count = bool(spaces) and counted is not None and int(counted.group(1)) == whole
    cells = tuple(
        Cell(Kind.STITCH, number, counted=True)
        if part["stitch"]
        else Cell(Kind.SPACE, 1, counted=spaces_count)
        for part, number in made
    )
    space = f"ch-{spaces[0]} space" if len(spaces) == 1 else ""
    return OwnStitch((special.short, special.label), group, cells, space, spaces_count)


def _group(method: str) -> str:
    """What a method works into one place; empty where it says more than that, or no such thing."""
    sentences = [one.strip() for one in re.split(r"[.;](?:\s+|$)", " ".join(method.split())) if one.strip()]
    groups = [found.group(1) for one in sentences if (found := _GROUP.fullmatch(one))]
    others = [one for one in sentences if not _GROUP.fullmatch(one) and not _COUNTS_AS.search(one)]
    return groups[0] if len(groups) == 1 and not any(map(_MORE_WORK.search, others)) else ""
