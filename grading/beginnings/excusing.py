"""What a construction excuses: the very steps that a new pattern has, not whatever a line does later."""

from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from grading.core.sheet.noticing import excused_steps
from grading.sheets.documents import Document

WHOLE_LINE = ("may_shrink", "may_jump")


def with_steps_excused(document: Document) -> Document:
    """A new pattern whose lines excuse the sizes that need it now, each with the construction's reason.

    Where a later edit makes another size smaller, that is noticed like any other. A document that can't be
    read stays as it is: whoever saves it is told why.
    """
    try:
        graded = grade(read_pattern(document))
    except PatternFileError:
        return document
    sizes: dict[tuple[str, str], list[str]] = {}
    for step in excused_steps(graded.pattern, graded.calculation):
        sizes.setdefault((step.name, step.by), []).append(step.size)
    return {**document, "values": [_excused(value, sizes) for value in document["values"]]}


def _excused(value: Document, sizes: dict[tuple[str, str], list[str]]) -> Document:
    """One line with its exceptions by size in place of those of the whole line."""
    needed = [
        {"what": what, "sizes": sizes[value["name"], what], "why": value["note"]}
        for what in WHOLE_LINE
        if value.get(what) and (value["name"], what) in sizes
    ]
    rest = {key: of for key, of in value.items() if key not in WHOLE_LINE}
    return {**rest, "settled": [*rest.get("settled", ()), *needed]} if needed else rest
