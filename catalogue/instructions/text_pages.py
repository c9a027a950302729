"""The instructions as one text, as a page shows them: each line with what is found in it, and as printed."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from django.http import QueryDict
from django.utils.safestring import SafeString

from catalogue.drafts.edits import standing_sheet
from catalogue.instructions.instructions import step_html
from catalogue.instructions.markdown import markdown_problem
from catalogue.instructions.printed import asked_edition, edition_selects
from catalogue.instructions.text_lines import (
    MOST_LINES,
    Kind,
    Problem,
    TextLine,
    WrittenSections,
    condition_text,
    read_condition,
    sections_from,
    with_sections,
)
from catalogue.instructions.text_merging import MergedLine
from catalogue.instructions.text_words import block_words, choice_blocks, entry_links, reference_words
from catalogue.instructions.typed_choices import TypedHere, typed_here
from catalogue.models import Pattern
from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import Graded
from grading.core.instructions.facts import facts_of
from grading.core.instructions.meant_values import point_at_numbers
from grading.core.instructions.steps import when_label
from grading.core.pattern.pattern import PatternFile
from grading.core.printing.edition import PrintForm
from grading.core.sheet.findings import Finding
from grading.sheets.kept_sheets import KeptSheet, work_out_after

BLOCK_FIELDS = ("block", "block_from", "block_to")
EMPTY = (TextLine("title", ""), TextLine("step", ""))


@dataclass
class ShownLine:
    """A heading or a step in its field, what it is called, and what is found in it.

    `when_label` says the condition of a section where it is none of those to choose from.
    """

    place: int
    kind: Kind
    text: str
    when: str
    called: str
    when_label: str = ""
    says: str = ""
    theirs: str = ""
    problems: list[str] = field(default_factory=list)
    findings: list[Finding] = field(default_factory=list)
    typed: list[TypedHere] = field(default_factory=list)

    @property
    def rows(self) -> int:
        """How high the field is where it doesn't grow by itself."""
        return sum(1 + len(line) // 70 for line in self.text.split("\n"))


@dataclass(frozen=True)
class PrintedLine:
    """A step as printed, with the place of its field."""

    place: int
    html: SafeString


@dataclass(frozen=True)
class PrintedDraft:
    """A section of a draft as printed; one of which an edition has nothing falls out."""

    place: int
    title: str
    label: str
    steps: tuple[PrintedLine, ...]


def text_page(
    pattern: Pattern, lines: Sequence[TextLine], query: QueryDict, merged: Sequence[MergedLine] = ()
) -> dict[str, Any]:
    """Everything that a page shows of a text, which may not be saved yet; nothing is stored."""
    lines = lines or EMPTY
    before, written = standing_sheet(pattern), sections_from(lines)
    core = before.graded.pattern
    graded, refusal = worked_out(before, written)
    problems = [*written.problems, *([refusal] if refusal else [])]
    shown = _shown_lines(core, lines, problems, merged)
    if graded:
        _add_findings(shown, written, graded)
    edition = asked_edition(core, query)
    return {
        **edition_selects(core, edition),
        **_choices(core, query),
        "pattern": pattern,
        "tab": "words",
        "lines": shown,
        "problems": [one.says for one in problems if one.place is None],
        "printed": _printed(written, graded, edition, entry_links(pattern, before.document))
        if graded
        else None,
    }


def worked_out(before: KeptSheet, written: WrittenSections) -> tuple[Graded | None, Problem | None]:
    """The pattern worked out with other sections; what keeps it from being a pattern, where it is none."""
    try:
        return work_out_after(before, with_sections(before.document, written)).graded, None
    except PatternFileError as refusal:
        return None, Problem(written.line_of(refusal), refusal.reason)


def _choices(core: PatternFile, query: QueryDict) -> dict[str, Any]:
    """What is offered while the text is written."""
    return {
        "conditions": simple_conditions(core),
        "choice_blocks": [(words, label) for words, label, _ in choice_blocks(core)],
        "block": {key: query.get(key, "") for key in BLOCK_FIELDS},
        "blanks": [ShownLine(0, "title", "", "", ""), ShownLine(0, "step", "", "", "")],
        "text_data": {
            "references": reference_words(core),
            "blocks": block_words(core),
            "most": MOST_LINES,
        },
    }


def simple_conditions(core: PatternFile) -> list[tuple[str, str]]:
    """The conditions to choose from for a section, one choice of an option each: as sent, and in words."""
    return [
        (condition_text({option.name: choice}), f"{option.label}: {choice}")
        for option in core.options
        for choice in option.choices
    ]


def _shown_lines(
    core: PatternFile, lines: Sequence[TextLine], problems: Sequence[Problem], merged: Sequence[MergedLine]
) -> list[ShownLine]:
    """The lines with their names and what keeps them from being saved."""
    shown = []
    simple = dict(simple_conditions(core))
    title, sections, steps = "", 0, 0
    for place, line in enumerate(lines):
        if line.kind == "title":
            title, sections, steps = line.text, sections + 1, 0
            called = f"Title of section {sections}"
        else:
            steps += 1
            called = f"{title or 'Section without a title'}, step {steps}"
        told = [one.says for one in problems if one.place == place]
        odd = _in_words(line.when, core) if line.when not in simple else ""
        shown.append(ShownLine(place, line.kind, line.text, line.when, called, odd, problems=told))
    for here, one in zip(shown, merged, strict=False):
        here.says, here.theirs = one.says, one.theirs
    return shown


def _in_words(when: str, core: PatternFile) -> str:
    """A condition of several choices in words; one that can't be read as it was sent."""
    read = read_condition(when)
    listed = [(name, [one] if isinstance(one, str) else one) for name, one in (read or {}).items()]
    return when_label(listed, core) if read is not None else when


def _add_findings(shown: Sequence[ShownLine], written: WrittenSections, graded: Graded) -> None:
    """Put what is found in each step beside it."""
    pointers = point_at_numbers(facts_of(graded.pattern, graded))
    said = {(one.where, one.says) for one in pointers}
    for i, places in enumerate(written.steps):
        for j, place in enumerate(places):
            where, line = f"sections[{i}].steps[{j}]", shown[place]
            found = [one for one in graded.findings if one.where == where]
            line.findings = [one for one in found if (one.where, one.says) not in said]
            line.typed = typed_here([one for one in pointers if one.where == where])
            line.problems += filter(None, [markdown_problem(line.text)])


def _printed(
    written: WrittenSections, graded: Graded, edition: PrintForm, links: dict[str, str]
) -> list[PrintedDraft]:
    """The sections as an edition prints them, what is filled in with a link to its entry."""
    facts = facts_of(graded.pattern, graded)
    printed = []
    for title, places, section in zip(written.titles, written.steps, graded.pattern.sections, strict=True):
        steps = [
            PrintedLine(place, step_html(text, facts, edition, section.when, links=links))
            for place, text in zip(places, section.steps, strict=True)
        ]
        kept = tuple(step for step in steps if step.html)
        if kept:
            printed.append(PrintedDraft(title, section.title, when_label(section.when, graded.pattern), kept))
    return printed
