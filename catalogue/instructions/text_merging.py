"""Two people wrote at the same text: their lines are put together, and where both wrote both stand; pure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher

from catalogue.instructions.text_lines import TextLine

MEANWHILE = "Somebody else wrote this meanwhile."
TAKEN_OUT = "Somebody else deleted this meanwhile."
TAKEN_OUT_HERE = "You deleted this; somebody else changed it meanwhile."

_Region = tuple[Sequence[TextLine], Sequence[TextLine], Sequence[TextLine]]


@dataclass(frozen=True)
class MergedLine:
    """A line as it is offered, what is said about it ("" = nothing), and what somebody else wrote there."""

    line: TextLine
    says: str = ""
    theirs: str = ""


def merge_lines(
    base: Sequence[TextLine], mine: Sequence[TextLine], theirs: Sequence[TextLine]
) -> list[MergedLine]:
    """Put two texts together that were both made from a third; nothing that somebody wrote falls out."""
    merged: list[MergedLine] = []
    for region, shared in _regions(base, mine, theirs):
        merged += _resolved(region)
        merged += [MergedLine(line) for line in shared]
    return merged


def _regions(
    base: Sequence[TextLine], mine: Sequence[TextLine], theirs: Sequence[TextLine]
) -> Iterator[tuple[_Region, Sequence[TextLine]]]:
    """What differs before each line that all three share, and that line; at the end no line."""
    in_mine, in_theirs = _matches(base, mine), _matches(base, theirs)
    b = m = t = 0
    for place, line in enumerate(base):
        if place in in_mine and place in in_theirs:
            here, there = in_mine[place], in_theirs[place]
            yield (base[b:place], mine[m:here], theirs[t:there]), [line]
            b, m, t = place + 1, here + 1, there + 1
    yield (base[b:], mine[m:], theirs[t:]), []


def _matches(base: Sequence[TextLine], other: Sequence[TextLine]) -> dict[int, int]:
    """The place of each line of a text in another, where it stands there unchanged."""
    blocks = SequenceMatcher(None, base, other, autojunk=False).get_matching_blocks()
    return {block.a + at: block.b + at for block in blocks for at in range(block.size)}


def _resolved(region: _Region) -> list[MergedLine]:
    """The lines of a stretch that is not the same in all three."""
    base, mine, theirs = region
    if len(base) == len(mine) == len(theirs) > 1:
        each = zip(base, mine, theirs, strict=True)
        return [line for was, here, there in each for line in _resolved(([was], [here], [there]))]
    split = _split(region)
    if split:
        before, line, after = split
        return [*_resolved(before), line, *_resolved(after)]
    if mine in (base, theirs):
        return [MergedLine(line, MEANWHILE if line not in mine else "") for line in theirs]
    if theirs == base:
        return [MergedLine(line) for line in mine]
    if not mine:
        return [MergedLine(line, TAKEN_OUT_HERE) for line in theirs]
    told = "\n\n".join(line.text for line in theirs)
    first = MergedLine(mine[0], MEANWHILE if told else TAKEN_OUT, told)
    return [first, *(MergedLine(line) for line in mine[1:])]


def _split(region: _Region) -> tuple[_Region, MergedLine, _Region] | None:
    """Cut a stretch at a line that one left alone, where the lines of the other stand one for one."""
    base, mine, theirs = region
    kept_here, kept_there = _matches(base, mine), _matches(base, theirs)
    if len(theirs) == len(base) > 0 and kept_here:
        b, m = next(iter(kept_here.items()))
        line = MergedLine(theirs[b], MEANWHILE if theirs[b] != base[b] else "")
        return (base[:b], mine[:m], theirs[:b]), line, (base[b + 1 :], mine[m + 1 :], theirs[b + 1 :])
    if len(mine) == len(base) > 0 and kept_there:
        b, t = next(iter(kept_there.items()))
        line = MergedLine(mine[b])
        return (base[:b], mine[:b], theirs[:t]), line, (base[b + 1 :], mine[b + 1 :], theirs[t + 1 :])
    return None
