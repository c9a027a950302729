"""The first words of a practice piece: its fabric and tool, its foundation, and its plain rows."""

import re
from dataclasses import dataclass

from grading.core.pattern.pattern import FabricEntry
from grading.core.practice.foundations import Foundation
from grading.core.practice.techniques import Teaching
from grading.core.practice.words import Wording

# Stitches by their name in a fabric, and the chains that stand for their height. Source: common practice.
STITCHES = {
    "US": (("half double", "hdc", 1), ("single", "sc", 1), ("double", "dc", 2), ("treble", "tr", 3)),
    "UK": (("half treble", "htr", 1), ("double treble", "dtr", 3), ("double", "dc", 1), ("treble", "tr", 2)),
}
ORDINALS = {1: "second", 2: "third", 3: "fourth"}
_SECOND = re.compile(r"\b(?:row|round) 2:", re.IGNORECASE)
_TOOL = re.compile(r"\b(?:hook|needles?)\b", re.IGNORECASE)
_LIES = re.compile(r",? (?:in the round|(?:worked )?sideways)$", re.IGNORECASE)
_LOOP = re.compile(r"\bloop\b|\bsideways\b|\brib", re.IGNORECASE)


@dataclass(frozen=True)
class Stitch:
    """A crochet stitch: its abbreviation, the chains of its height, and whether a fabric is made of it."""

    short: str
    height: int
    is_fabric: bool


def fabric_words(fabric: FabricEntry) -> str:
    """Return a fabric as it stands in a sentence, without what its label adds after a comma."""
    return whole_fabric_words(fabric).partition(",")[0]


def whole_fabric_words(fabric: FabricEntry) -> str:
    """Return all that a label says of a fabric, but for how it lies and whether it is round."""
    label = _LIES.sub("", fabric.label).strip()
    return label if label.startswith("Tunisian") else label[:1].lower() + label[1:]


def stitch_of(of: Teaching, fabric: FabricEntry) -> Stitch:
    """Return the stitch that a crochet fabric is made of, by its label; else the lowest one.

    Source: common practice.
    """
    table, label = STITCHES[of.pattern.home_terms], fabric.label.lower()
    lowest = "sc" if of.pattern.home_terms == "US" else "dc"
    found = next(((short, height) for name, short, height in table if name in label), None)
    if found is None or _LOOP.search(label):
        return Stitch(lowest, 1, is_fabric=False)
    return Stitch(*found, is_fabric=True)


def tool_words(of: Teaching, fabric: FabricEntry, *, in_rounds: bool) -> str:
    """Return the tool of a fabric: by its size, else as that of the maker's own swatch."""
    noun = {"crochet": "hook", "tunisian": "Tunisian hook", "knitting": "needles"}[of.pattern.craft]
    if fabric.tool_mm is None:
        return f"the {noun} of your swatch"
    if of.pattern.craft == "knitting":
        return f"{fabric.tool_mm:g} mm {'double-pointed ' if in_rounds else ''}needles"
    return f"{fabric.tool_mm:g} mm {noun}"


def foundation_wordings(
    of: Teaching, foundation: Foundation, line: str, fabric: FabricEntry, *, in_rounds: bool
) -> list[Wording]:
    """Return how a piece may be begun, the pattern's own words first; fabric and tool are named in each.

    Args:
        of: The graded pattern.
        foundation: What was found in it.
        line: The line that counts the stitches of the piece.
        fabric: What the piece is worked in.
        in_rounds: Whether it is worked in rounds.
    """
    tool = f" Tool: {tool_words(of, fabric, in_rounds=in_rounds)}."
    names_tool = fabric.tool_mm is None and bool(_TOOL.search(" ".join(foundation.words)))
    begun = f"Fabric: {whole_fabric_words(fabric)}.{'' if names_tool else tool} "
    stitch = stitch_of(of, fabric)
    lowest = Stitch("sc" if of.pattern.home_terms == "US" else "dc", 1, is_fabric=False)
    plain = [_plain(of, line, one, in_rounds=in_rounds) for one in dict.fromkeys((stitch, lowest))]
    said = [
        *([Wording(foundation.words)] if foundation.words else []),
        *(Wording(one, is_own=False) for one in plain),
    ]
    named = [Wording((begun + one.steps[0], *one.steps[1:]), one.is_own) for one in said]
    return [*named, said[-1]]


def _plain(of: Teaching, line: str, stitch: Stitch, *, in_rounds: bool) -> tuple[str, ...]:
    """Return a foundation in plain words; in crochet with the row that is worked again and again."""
    if of.pattern.craft == "tunisian":
        return (
            f"Ch {{{line}}}.",
            f"Row 1: pick up a loop in each ch from the second on, return. ({{{line}}} sts)",
        )
    if of.pattern.craft == "knitting":
        joined = " Join in the round without twisting and place a marker at the start of the round."
        return (f"Cast on {{{line}}} sts.{joined if in_rounds else ''}",)
    short, height = stitch.short, stitch.height
    slip = "sl st" if of.pattern.home_terms == "US" else "ss"
    turning = f"ch {height} (does not count)"
    if in_rounds:
        closed = f"{slip} in the first {short} to join. ({{{line}}} sts)"
        first = f"Ch {{{line}}}, {slip} in the first ch to form a ring."
        return (
            first,
            f"Round 1: {turning}, 1 {short} in each ch, {closed}",
            *([f"Round 2: {turning}, 1 {short} in each st, {closed}"] if stitch.is_fabric else []),
        )
    missed = "" if height == 1 else " (the missed ch do not count as a st)"
    first_row = f"Row 1: 1 {short} in the {ORDINALS[height]} ch from the hook{missed}"
    return (
        f"Ch {{{line} + {height}}}.",
        f"{first_row} and in each ch to the end, turn. ({{{line}}} sts)",
        *(
            [f"Row 2: {turning}, 1 {short} in each st to the end, turn. ({{{line}}} sts)"]
            if stitch.is_fabric
            else []
        ),
    )


def straight_wordings(
    beginning: Wording, line: str, fabric: FabricEntry, *, in_rounds: bool
) -> list[Wording]:
    """Return how the plain rows up to so many may be said: as the row before, else in their fabric.

    Args:
        beginning: How the piece was begun.
        line: The line that counts the rows.
        fabric: What they are worked in.
        in_rounds: Whether they are rounds.
    """
    rows, until = ("rounds" if in_rounds else "rows"), f"until there are {{{line}}}"
    words = fabric_words(fabric)
    texts = [
        f"Work straight in {words} {until} {rows}.",
        f"Work in {words}. Work straight {until} {rows}.",
        f"Work straight {until} {rows}.",
    ]
    if _SECOND.search(" ".join(beginning.steps)):
        texts = [f"Repeat {rows[:-1]} 2 {until} {rows}.", *texts]
    return [Wording((text,), is_own=False) for text in texts]
