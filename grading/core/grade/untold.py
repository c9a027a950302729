"""What a pattern has and no step tells, such as a seam; and yarns that steps speak of and it lacks."""

import re
from collections.abc import Iterator

from grading.core.pattern.pattern import JoinEntry, PatternFile
from grading.core.sheet.findings import Finding, warn

_JOINING = re.compile(
    r"\b(?:sew\w*|seam\w*|set(?:ting)?\s+in|join\w*|graft\w*|attach\w*|whip\s?stitch\w*|mattress|kitchener|"
    r"pick(?:ed|ing)?\s+up|together|ease\w*|fold\w*|stitch(?:ed|ing)?\s+\w+\s+to|work\w*\s+on)\b",
    re.IGNORECASE,
)
_SEWN = re.compile(r"\b(?:seams?|sewn?|set in)\b", re.IGNORECASE)
_COLOUR = re.compile(
    r"\b(?i:change|changing|switch|switching)\s+to\s+(?P<to>[A-Z])\b"
    r"|\b(?i:with|join|rejoin|cut|drop|break|yarn|colou?r)\s+(?P<with>[A-Z])\b(?![-’'])"
)
# Words of seams that other sentences of finishing have as well.
_GENERAL = frozenset(
    {"seam", "seams", "edge", "edges", "join", "joins", "front", "back", "with", "into", "piece"}
)
# Sides that are no edges of a piece, or those of a smaller part.
_OTHER_SIDES = re.compile(
    r"\b(?:right|wrong|both) sides?\b|\bsides? of the (?:edge|edging|pocket|border|flap)\b", re.IGNORECASE
)
_SENTENCE = re.compile(r"(?<=[.;])\s|\n")


def untold_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of seams that no step tells, of parts for a choice that no step hangs on, and of unknown colours.

    Args:
        pattern: The pattern; none of its numbers are looked at.

    Returns:
        Findings at `joins.NAME`, `options.NAME` and `sections[i].steps[j]`; none for a pattern without steps.

    Source: common practice of technical editing.
    """
    if not any(section.steps for section in pattern.sections):
        return
    joining = " ".join(_joining_sentences(pattern)).lower()
    for join in pattern.joins:
        names = _names(join)
        if names and not any(re.search(rf"\b{re.escape(name)}s?\b", joining) for name in names):
            says = f"“{join.label}”: no step says how this is joined. Add it to the instructions."
            yield warn(f"joins.{join.name}", says)
    yield from _untold_choices(pattern)
    yield from _unknown_colours(pattern)


def _joining_sentences(pattern: PatternFile) -> Iterator[str]:
    """Sentences of steps in which something is joined."""
    for section in pattern.sections:
        for step in section.steps:
            joining = (one for one in _SENTENCE.split(step) if _JOINING.search(one))
            yield from (_OTHER_SIDES.sub("", one) for one in joining)


def _names(join: JoinEntry) -> set[str]:
    """The words that name a seam of two pieces: its sides, the piece that is joined on, its label.

    None where nothing is sewn, as where stitches are picked up or a part is worked on.
    """
    if not any(join.ease) and not _SEWN.search(join.label):
        return set()
    edges, onto = [one.edge for one in join.edges], [one.edge for one in join.onto]
    if not all("." in edge for edge in (*edges, *onto)):
        return set()
    words = {word for edge in edges for word in edge.split(".")} | {edge.split(".")[1] for edge in onto}
    words |= {word.lower() for word in re.findall(r"[A-Za-z]{4,}", join.label)}
    found = {part for word in words for part in word.split("_") if len(part) > 2}
    return found - _GENERAL or found


def _untold_choices(pattern: PatternFile) -> Iterator[Finding]:
    """Options by which the yarn of a whole part is counted, and nothing that is told."""
    told = {name for section in pattern.sections for name, _ in section.when}
    steps = "\n".join(step for section in pattern.sections for step in section.steps)
    for option in pattern.options:
        parts = [part.name for part in pattern.yarn_sections if option.name in dict(part.when)]
        if parts and option.name not in told and not re.search(rf"::: when .*\b{option.name}=", steps):
            says = (
                f"The yarn of “{parts[0]}” is counted for a choice of “{option.label}” alone, and no step "
                "depends on it. Say at its section or step for which choice it is."
            )
            yield warn(f"options.{option.name}", says)


def _unknown_colours(pattern: PatternFile) -> Iterator[Finding]:
    """Letters that steps call a yarn by, and that no yarn has."""
    known = {yarn.colour for yarn in pattern.yarns}
    if not known:
        return
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            letters = dict.fromkeys(one["to"] or one["with"] for one in _COLOUR.finditer(step))
            for letter in letters:
                if letter not in known and letter not in pattern.sizes:
                    says = f"This step speaks of yarn {letter}; the yarns are {', '.join(sorted(known))}."
                    yield warn(f"sections[{i}].steps[{j}]", says)
