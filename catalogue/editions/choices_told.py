"""Which of a maker's choices are told: those that make a difference in the size that is made."""

from collections.abc import Sequence

from catalogue.editions.chosen import Chosen
from catalogue.editions.notions import notion_lines
from catalogue.editions.sized_parts import instructions_of
from catalogue.editions.sources import Source, with_choices
from catalogue.instructions.instructions import PrintedSection
from grading.core.pattern.wordings import WIDE_WORDING


def choices_that_matter(source: Source, instructions: Sequence[PrintedSection]) -> Chosen:
    """The choices of an edition without those that change nothing in its size.

    A jacket whose smallest size has no buttons, whatever is chosen, is not said to be made “with buttons”.
    Up to the second wording every choice was told.
    """
    chosen = source.edition.chosen
    if source.facts.pattern.wording <= WIDE_WORDING:
        return chosen
    made = _printed(source, instructions)
    return tuple(one for one in chosen if _differs(source, one[0], made))


def _differs(source: Source, option: str, made: list[object]) -> bool:
    """Whether another choice of an option prints other steps, or asks for other things."""
    chosen = dict(source.edition.chosen)
    choices = next(one.choices for one in source.graded.pattern.options if one.name == option)
    for choice in choices:
        other = with_choices(source, tuple({**chosen, option: choice}.items()))
        if choice != chosen[option] and _printed(other, instructions_of(other)) != made:
            return True
    return False


def _printed(source: Source, instructions: Sequence[PrintedSection]) -> list[object]:
    """What tells two garments of a size apart: the steps, and what is needed beside the yarn."""
    steps = [(section.title, section.steps) for section in instructions]
    return [*steps, *notion_lines(source.facts, source.edition, source.kept)]
