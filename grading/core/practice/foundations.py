"""How a practice piece is begun: the pattern's first words where they name one number of stitches only."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from grading.core.audit.sentences import cut_sentences
from grading.core.instructions.facts import kinds_of
from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.pattern import FabricEntry
from grading.core.practice.stages import Stage, section_in_rounds
from grading.core.practice.techniques import Teaching

_BEGUN = re.compile(r"\b(?:cast on|ch|chain)\b[^{}.]*\{([a-z][a-z0-9_]*)\b", re.IGNORECASE)
_FIRST_ROW = re.compile(r"\b(?:row|round) 1:", re.IGNORECASE)
_EDGE = re.compile(r"\b(?:rib|ribbing|back loop|front loop|hem|band|cuff)\b|\bp1\b", re.IGNORECASE)
_JOINED = re.compile(r"\bjoin\b|\bring\b", re.IGNORECASE)
_BOUND = re.compile(
    r"^\s*:::|\b(?:mark|markers?|as on|as the|until|repeat row)\b", re.IGNORECASE | re.MULTILINE
)


@dataclass(frozen=True)
class Foundation:
    """The line that counts the stitches of a foundation ("" for none), its words, and its section."""

    name: str
    words: tuple[str, ...]
    section: int | None


def foundation_of(
    of: Teaching, stages: Sequence[Stage], fabric: FabricEntry, *, in_rounds: bool
) -> Foundation:
    """Return how the pattern begins a piece in a fabric.

    Args:
        of: The graded pattern.
        stages: The stages of the piece in their order.
        fabric: The fabric that the piece is worked in.
        in_rounds: Whether the piece is worked in rounds.

    Returns:
        The first foundation that works its first row too, looked for in the section of the first stage, then
        in all others; else the first of any kind. One whose stitches are counted in another fabric is passed
        over; one that goes on to an edge, or does not tell how a round is joined, lends its count alone.
    """
    places = [place for place in _sections(of, stages) if section_in_rounds(of, place) == in_rounds]
    found = [one for one in (_begun(of, place) for place in places) if one is not None]
    fitting = [_fitted(of, one, fabric) for one in found if _counted_in(of, one, fabric)]
    joined = [one if _tells_all(one, in_rounds=in_rounds) else replace(one, words=()) for one in fitting]
    whole = (
        one for one in joined if of.pattern.craft == "knitting" or _FIRST_ROW.search(" ".join(one.words))
    )
    return next(whole, next(iter(joined), Foundation("", (), None)))


def _counted_in(of: Teaching, foundation: Foundation, fabric: FabricEntry) -> bool:
    """Return whether a foundation is counted in a fabric, or in none that is known."""
    found = of.counts.fabric(foundation.name)
    return found is None or found.name == fabric.name


def _tells_all(foundation: Foundation, *, in_rounds: bool) -> bool:
    """Return whether the words are of no edge, and tell how the first round is closed."""
    text = " ".join(foundation.words)
    return not _EDGE.search(text) and (not in_rounds or bool(_JOINED.search(text)))


def _fitted(of: Teaching, foundation: Foundation, fabric: FabricEntry) -> Foundation:
    """Return a foundation with the tool of a fabric: of two tools, edges are worked with the smaller."""
    tools = [one.tool_mm for one in of.pattern.fabrics if one.tool_mm is not None]
    if fabric.tool_mm is not None and len(set(tools)) > 1 and fabric.tool_mm == min(tools):
        return foundation
    return replace(foundation, words=tuple(text.replace("smaller", "larger") for text in foundation.words))


def _sections(of: Teaching, stages: Sequence[Stage]) -> Iterator[int]:
    """The sections in which to look, the one of the first stage first."""
    places = [place.section for stage in stages for place in of.places.get(stage.name, ())[:1]]
    yield from places[:1]
    yield from range(len(of.pattern.sections))


def _begun(of: Teaching, section: int) -> Foundation | None:
    """Return the foundation at the beginning of a section; None where it has none."""
    steps = of.pattern.sections[section].steps
    place = next((i for i, step in enumerate(steps) if _BEGUN.search(step)), None)
    if place is None:
        return None
    name = _BEGUN.findall(steps[place])[0]
    lines = {one.name for one in of.pattern.values if one.kind == "stitches"}
    if name not in lines:
        return None
    return Foundation(name, tuple(_own_words(of, steps[place:], name)), section)


def _own_words(of: Teaching, steps: Sequence[str], name: str) -> Iterator[str]:
    """The steps from a foundation on, cut before the first sentence that is about anything else."""
    kinds = kinds_of(of.pattern)
    for step in steps:
        kept = []
        for sentence in cut_sentences(step, 0, kinds):
            if _BOUND.search(sentence.text) or not _names_only(sentence.text, name):
                break
            kept.append(sentence.text.strip())
        if kept:
            yield " ".join(kept)
        if " ".join(kept) != " ".join(step.split()):
            return


def _names_only(text: str, name: str) -> bool:
    """Return whether a sentence names no other line."""
    pieces = [piece for piece in parse_references(text).pieces if isinstance(piece, Reference)]
    return all(piece.name == name for piece in pieces if piece.form not in ("length", "side", "help"))
