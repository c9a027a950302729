"""The instructions saved as one text: one edit, or the texts of two people put together."""

from collections.abc import Sequence

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import edit_pattern
from catalogue.instructions.text_lines import Problem, TextLine, lines_of, sections_from, with_sections
from catalogue.instructions.text_merging import MergedLine, merge_lines
from catalogue.models import Pattern, Person
from grading.sheets.differences import Difference


class TextRefused(Exception):
    """A line can't be saved as it is; nothing was stored."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        super().__init__(problems[0].says)


def save_text(*, pattern: Pattern, revision: int, lines: Sequence[TextLine], by: Person | None) -> Difference:
    """Store the whole text as one edit.

    Raises:
        TextRefused: A line can't be saved as it is.
        StaleRevision: Another edit came first.
        PatternFileError: It would be no pattern file any more.
    """
    written = sections_from(lines)
    if written.problems:
        raise TextRefused(written.problems)
    return edit_pattern(
        pattern=pattern, revision=revision, change=lambda document: with_sections(document, written), by=by
    )


def typed_now(pattern: Pattern) -> list[TextLine]:
    """The lines as they are stored."""
    return lines_of(pattern_document(pattern).get("sections", []))


def typed_at(pattern: Pattern, revision: int) -> list[TextLine] | None:
    """The lines as they were at an earlier revision; None for one that there has not been yet."""
    if revision > pattern.sheet.revision:
        return None
    sections = pattern_document(pattern).get("sections", [])
    for edit in pattern.edits.filter(revision__gt=revision).order_by("-revision"):
        if "sections" in edit.before["whole"]:
            sections = edit.before["whole"]["sections"]
        elif "sections" not in edit.before["keys"]:
            sections = []
    return lines_of(sections)


def merged_text(pattern: Pattern, revision: int, lines: Sequence[TextLine]) -> list[MergedLine] | None:
    """The text put together with what others saved since a revision; None when they left the words alone."""
    pattern.sheet.refresh_from_db()
    base, theirs = typed_at(pattern, revision), typed_now(pattern)
    if base == theirs:
        return None
    return merge_lines(base or [], lines, theirs)
