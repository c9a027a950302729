"""The terms of an edition: its list of abbreviations, and its table of terms that were replaced."""

from collections.abc import Sequence
from typing import cast

from django.utils.html import strip_tags

from catalogue.instructions.instructions import PrintedSection
from grading.core.instructions.abbreviations import abbreviations_used
from grading.core.instructions.facts import Facts
from grading.core.instructions.steps import print_words
from grading.core.instructions.terms import terms_used
from grading.core.pattern.pattern import PatternFile
from grading.core.printing.edition import PrintForm, Terms
from grading.core.stitch_patterns.written import written_rows


def printed_abbreviations(
    facts: Facts, edition: PrintForm, instructions: Sequence[PrintedSection]
) -> list[tuple[str, str]]:
    """Exactly those that the edition uses, in its instructions and in the labels beside them."""
    labels = (print_words(text, facts, edition) for text in _labels(facts.pattern))
    special = [facts.translate(text, edition) for text in _special_words(facts.pattern)]
    words = "\n".join([_plain_words(instructions), *labels, *_stitch_words(facts, edition), *special])
    own = {
        facts.translate(short, edition): facts.translate(meaning, edition)
        for short, meaning in facts.pattern.own_shorts().items()
    }
    return abbreviations_used(words, edition.terms, facts.craft, own, facts.pattern.wording)


def term_pairs(facts: Facts, edition: PrintForm) -> list[tuple[str, str]]:
    """The terms that were replaced, as (this edition's, the author's); none in the author's own terms."""
    pattern = facts.pattern
    if edition.terms == pattern.home_terms:
        return []
    steps = [step for section in pattern.sections for step in section.steps]
    rows = [row.text for one in pattern.stitch_patterns for row in written_rows(one, pattern)]
    text = "\n".join([*steps, *_labels(pattern), *rows, *_special_words(pattern)])
    used = terms_used(text, cast("Terms", pattern.home_terms), facts.craft, pattern.wording)
    return [(theirs, mine) for mine, theirs in used]


def _labels(pattern: PatternFile) -> list[str]:
    """What is printed in the terms of an edition beside the steps, as the author wrote it."""
    shown = {line.value for piece in pattern.pieces for line in piece.dimensions}
    measured = [value.measured.how for value in pattern.values if value.measured]
    values = [value.label for value in pattern.values if value.measured or value.name in shown]
    construction = [pattern.construction] if pattern.construction else []
    return [*construction, *(fabric.label for fabric in pattern.fabrics), *values, *measured]


def _special_words(pattern: PatternFile) -> list[str]:
    """How special stitches are worked, and the rows that show them, as the author wrote them."""
    return [
        text
        for one in pattern.special_stitches
        for text in (one.method, *(one.shown.rows if one.shown else ()))
    ]


def _stitch_words(facts: Facts, edition: PrintForm) -> list[str]:
    """The rows of stitch patterns as printed."""
    pattern = facts.pattern
    return [
        facts.translate(row.text, edition)
        for entry in pattern.stitch_patterns
        for row in written_rows(entry, pattern)
    ]


def _plain_words(instructions: Sequence[PrintedSection]) -> str:
    """The printed instructions as plain text."""
    return "\n".join(strip_tags(step) for section in instructions for step in section.steps)
