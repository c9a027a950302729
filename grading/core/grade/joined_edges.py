"""Edges that a sentence works in one go, and of which the join that measures them leaves one out."""

import re
from collections.abc import Iterator

from grading.core.grade.edge_words import edge_labels, edges_said
from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import JoinEdge, PatternFile
from grading.core.sheet.findings import Finding, warn

_SENTENCE = re.compile(r"[^.\n]+")


def left_out_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of joins that measure some of the edges that are picked up in one sentence, but not all.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at `joins.NAME`; an edge that another join measures is no part of this one.

    Source: common practice: a band is as long as all that it is worked along, the hem included.
    """
    picked = {one.name for one in pattern.pick_ups}
    joined = {edge.edge for join in pattern.joins for edge in (*join.edges, *join.onto)}
    sentences = [
        set(_named(one)) for section in pattern.sections for step in section.steps for one in _cut(step)
    ]
    for join in pattern.joins:
        own = {edge.edge for edge in join.edges} & picked
        together = (named for named in sentences if len(own & named) > 1)
        for name in sorted({one for named in together for one in named & picked} - joined):
            edge = edges_said((JoinEdge(name),), edge_labels(pattern))
            says = (
                f"“{join.label}”: the same sentence also works along {edge}, which this join leaves out. "
                "Add it to the join, and its length to the other side."
            )
            yield warn(f"joins.{join.name}", says)


def _cut(step: str) -> Iterator[str]:
    return (one.group() for one in _SENTENCE.finditer(step))


def _named(sentence: str) -> Iterator[str]:
    """The names that a sentence prints as numbers."""
    for piece in parse_references(sentence).pieces:
        if isinstance(piece, Reference) and piece.form == "plain":
            yield piece.name
