"""The words of a draft as printed, beside what was typed and what was found."""

from dataclasses import dataclass
from typing import Any, cast

from django.http import QueryDict
from django.utils.safestring import SafeString

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.patterns import graded
from catalogue.instructions.instructions import render_instructions, step_html
from catalogue.instructions.typed_choices import TypedHere, typed_here
from catalogue.models import Pattern
from grading.core.instructions.facts import facts_of
from grading.core.instructions.meant_values import point_at_numbers
from grading.core.instructions.sides import NEVER_TURNED
from grading.core.instructions.steps import when_label
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile
from grading.core.printing.edition import PrintForm, Terms, Units

UNITS = {"cm": "centimetres", "in": "inches", "both": "both"}
TERMS = {"UK": "UK terms", "US": "US terms"}
HANDS = {"right": "right-handed", "left": "left-handed"}


@dataclass(frozen=True)
class TypedStep:
    """One step as typed, with its findings, the numbers typed in it, and how it prints."""

    number: int
    text: str
    findings: list[dict[str, Any]]
    typed: list[TypedHere]
    printed: SafeString


@dataclass(frozen=True)
class TypedSection:
    """One section with its steps."""

    number: int
    title: str
    label: str
    steps: list[TypedStep]


def asked_edition(core: PatternFile, query: QueryDict) -> PrintForm:
    """The edition that the address asks for; the pattern's own for what it does not say."""
    units = query.get("units") if query.get("units") in UNITS else core.home_units
    terms = query.get("terms") if query.get("terms") in TERMS else core.home_terms
    size = query.get("size")
    is_left = query.get("hand") == "left" and core.craft in NEVER_TURNED
    return PrintForm(
        cast("Units", units),
        cast("Terms", terms),
        size if size in core.sizes else None,
        "left" if is_left else "right",
        helps=True,
    )


def edition_selects(core: PatternFile, edition: PrintForm) -> dict[str, Any]:
    """The choices of an edition that change its words, and which of them are shown."""
    return {
        "core": core,
        "edition": edition,
        "units": UNITS,
        "terms": TERMS,
        "hands": HANDS if core.craft in NEVER_TURNED else {},
    }


def words_page(pattern: Pattern, query: QueryDict) -> dict[str, Any]:
    """Everything that the words page shows."""
    core = read_pattern(pattern_document(pattern))
    numbers = graded(pattern)
    facts, edition = facts_of(core, numbers), asked_edition(core, query)
    pointers = point_at_numbers(facts)
    said = {(one.where, one.says) for one in pointers}
    findings = [one for one in numbers.as_json()["findings"] if (one["where"], one["says"]) not in said]
    return {
        **edition_selects(core, edition),
        "revision": pattern.sheet.revision,
        "instructions": render_instructions(facts, edition),
        "sections": [
            TypedSection(
                i + 1,
                section.title,
                when_label(section.when, core),
                [
                    TypedStep(
                        j + 1,
                        text,
                        [one for one in findings if one["where"] == f"sections[{i}].steps[{j}]"],
                        typed_here([one for one in pointers if one.where == f"sections[{i}].steps[{j}]"]),
                        step_html(text, facts, edition, section.when),
                    )
                    for j, text in enumerate(section.steps)
                ],
            )
            for i, section in enumerate(core.sections)
        ],
    }
