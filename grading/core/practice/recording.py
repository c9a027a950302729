"""The recording plan: the steps of a practice piece in their order, and what to show of each."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import PatternFile
from grading.core.practice.techniques import Technique

# What a hand learns to see in each technique. Source: common practice of teaching by hand.
SHOW = {
    "foundation": (
        "The first stitch or loop, and how yarn and tool are held.",
        "The whole row at the pace you work, then count the stitches with a finger.",
    ),
    "stitch_pattern": (
        "One repeat slowly, stitch by stitch, beside its chart.",
        "The same row again at the pace you work, with the repeats side by side.",
    ),
    "increases": (
        "The stitch before it, the increase twice from close by, the stitch after it.",
        "A plain row between, and how to know the next shaping row.",
    ),
    "decreases": (
        "Which way the decrease leans: twice from close by, seen from the side that faces.",
        "A plain row between, and how to know the next shaping row.",
    ),
    "spread": ("One whole group with its change, then how the groups are counted.",),
    "curve": (
        "The end of the row where the step is made, and how the work goes on from there.",
        "The edge after the last step, laid flat.",
    ),
    "mirror": (
        "The same step at the other end of the row, beside the first piece.",
        "Both pieces side by side: one is the mirror of the other.",
    ),
    "pick_up": (
        "Where the tool goes into the edge, from close by.",
        "One whole group: what is picked up and what is left out. Then the edge from the right side.",
    ),
    "row start": ("The last stitch of a stripe, where the next colour is taken.", "The edge, and its tails."),
    "return pass": (
        "The last return pass of a stripe, where the next colour is taken.",
        "The edge from both sides, where the colours meet.",
    ),
    "row": ("One shaping row from its first stitch to its last, at the pace you work.",),
    "plain": ("One row at the pace you work; then count rows and stitches.",),
    "end": ("How the last stitch is closed. Then the piece laid flat beside a tape.",),
}
_END = re.compile(r"^(?:fasten|bind|cast) off\b", re.IGNORECASE)


@dataclass(frozen=True)
class Scene:
    """One scene: section and step from 0, what it teaches ("" for what lies between), and what to show."""

    section: int
    step: int
    teaches: str
    show: tuple[str, ...]


def recording_plan(pattern: PatternFile, techniques: Sequence[Technique]) -> tuple[Scene, ...]:
    """List the scenes of a practice piece in the order of its work.

    Args:
        pattern: The practice piece as read.
        techniques: What it teaches.

    Returns:
        One scene for each step, in the order of sections and steps.

    Source: derived.
    """
    return tuple(_scenes(pattern, techniques))


def _scenes(pattern: PatternFile, techniques: Sequence[Technique]) -> Iterator[Scene]:
    """Every step with what it teaches."""
    changes = {one.name: one.change for one in pattern.stripes}
    is_begun = False
    for section, of in enumerate(pattern.sections):
        for step, text in enumerate(of.steps):
            technique = _taught(text, techniques, of.title)
            if technique is not None:
                kind = changes.get(technique.name, technique.kind)
                yield Scene(section, step, technique.label, SHOW[kind])
            elif _END.match(text):
                yield Scene(section, step, "", SHOW["end"])
            elif "worked only where the next step says so" in text:
                yield Scene(section, step, "", SHOW["row"])
            elif not is_begun:
                yield Scene(section, step, "Foundation", SHOW["foundation"])
                is_begun = True
            else:
                yield Scene(section, step, "", SHOW["plain"])


def _taught(text: str, techniques: Sequence[Technique], title: str) -> Technique | None:
    """Return the technique that a step names; in a mirrored piece the mirror of a curve."""
    names = {piece.name for piece in parse_references(text).pieces if isinstance(piece, Reference)}
    found = [one for one in techniques if one.name and one.name in names]
    mirrors = [one for one in found if one.kind == "mirror"]
    is_mirror = title.startswith("Mirrored") or any(f"{{{one.name} reversed}}" in text for one in mirrors)
    return next(iter(mirrors if is_mirror and mirrors else found), None)
