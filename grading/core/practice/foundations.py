"""How a practice piece is begun: the pattern's first words where they name one number of stitches only."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from grading.core.audit.sentences import cut_sentences
from grading.core.instructions.facts import kinds_of
from grading.core.instructions.references import Reference, parse_references
from grading.core.practice.stages import Stage, section_in_rounds
from grading.core.practice.techniques import Teaching

_BEGUN = re.compile(r"\b(?:cast on|ch|chain)\b[^{}.]*\{([a-z][a-z0-9_]*)\b", re.IGNORECASE)
_BOUND = re.compile(
    r"^\s*:::|\b(?:mark|markers?|as on|as the|until|repeat row)\b", re.IGNORECASE | re.MULTILINE
)


@dataclass(frozen=True)
class Foundation:
    """The line that counts the stitches of a foundation ("" for none), its words, and its section."""

    name: str
    words: tuple[str, ...]
    section: int | None


def foundation_of(of: Teaching, stages: Sequence[Stage], *, in_rounds: bool) -> Foundation:
    """Return how the pattern begins the piece that its first stage is worked in.

    Args:
        of: The graded pattern.
        stages: The stages of the piece in their order.
        in_rounds: Whether the piece is worked in rounds.

    Returns:
        The first foundation of the section of the first stage, else of the first section that has one.
    """
    for section in _sections(of, stages):
        if section_in_rounds(of, section) == in_rounds:
            found = _begun(of, section)
            if found is not None:
                return found
    return Foundation("", (), None)


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
