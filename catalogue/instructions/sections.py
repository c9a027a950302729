"""The written instructions: sections and steps added, changed, moved, taken out by the edit path."""

from collections.abc import Callable
from typing import Any, Literal

from catalogue.drafts.documents import pattern_document
from catalogue.drafts.edits import edit_document
from catalogue.instructions.typed_choices import write_reference
from catalogue.models import Pattern, Person
from grading.sheets.differences import Difference

Direction = Literal["up", "down"]
Sections = list[dict[str, Any]]


class NoSuchPlace(LookupError):
    """There is no such section or step (any more)."""


def add_section(
    *, pattern: Pattern, revision: int, title: str, when: dict[str, Any] | None, by: Person | None
) -> Difference:
    """Put a new section at the end."""

    def change(sections: Sections) -> None:
        sections.append(_entry(title, when, []))

    return _edit(pattern, revision, change, by)


def change_section(
    *,
    pattern: Pattern,
    revision: int,
    section: int,
    title: str,
    when: dict[str, Any] | None,
    by: Person | None,
) -> Difference:
    """Give a section another title, or print it for other choices."""

    def change(sections: Sections) -> None:
        sections[section] = _entry(title, when, _at(sections, section)["steps"])

    return _edit(pattern, revision, change, by)


def delete_section(*, pattern: Pattern, revision: int, section: int, by: Person | None) -> Difference:
    """Take a section out with its steps."""

    def change(sections: Sections) -> None:
        _at(sections, section)
        del sections[section]

    return _edit(pattern, revision, change, by)


def move_section(
    *, pattern: Pattern, revision: int, section: int, direction: Direction, by: Person | None
) -> Difference:
    """Exchange a section with its neighbour; the first and the last stay where they are."""
    return _edit(pattern, revision, lambda sections: _move(sections, section, direction), by)


def add_step(*, pattern: Pattern, revision: int, section: int, text: str, by: Person | None) -> Difference:
    """Put a new step at the end of a section."""
    return _edit(pattern, revision, lambda sections: _at(sections, section)["steps"].append(text), by)


def change_step(
    *, pattern: Pattern, revision: int, section: int, step: int, text: str, by: Person | None
) -> Difference:
    """Write a step anew."""

    def change(sections: Sections) -> None:
        steps = _at(sections, section)["steps"]
        _at(steps, step)
        steps[step] = text

    return _edit(pattern, revision, change, by)


def write_value(
    *, pattern: Pattern, revision: int, section: int, step: int, sent: str, by: Person | None
) -> Difference:
    """Write a reference in place of a number typed in a step, as a button sent it.

    Raises:
        NumberGone: The number does not stand there, or no such reference can be written.
    """

    def change(sections: Sections) -> None:
        steps = _at(sections, section)["steps"]
        steps[step] = write_reference(_at(steps, step), sent, pattern)

    return _edit(pattern, revision, change, by)


def delete_step(*, pattern: Pattern, revision: int, section: int, step: int, by: Person | None) -> Difference:
    """Take a step out."""

    def change(sections: Sections) -> None:
        steps = _at(sections, section)["steps"]
        _at(steps, step)
        del steps[step]

    return _edit(pattern, revision, change, by)


def move_step(
    *, pattern: Pattern, revision: int, section: int, step: int, direction: Direction, by: Person | None
) -> Difference:
    """Exchange a step with its neighbour in the same section."""
    return _edit(pattern, revision, lambda all_: _move(_at(all_, section)["steps"], step, direction), by)


def sections_of(pattern: Pattern) -> Sections:
    """The sections as typed."""
    sections: Sections = pattern_document(pattern).get("sections", [])
    return sections


def _edit(
    pattern: Pattern, revision: int, change: Callable[[Sections], None], by: Person | None
) -> Difference:
    """Change the sections of the document and store it."""
    document = pattern_document(pattern)
    sections = document.setdefault("sections", [])
    change(sections)
    return edit_document(pattern=pattern, revision=revision, document=document, by=by)


def _entry(title: str, when: dict[str, Any] | None, steps: list[str]) -> dict[str, Any]:
    """A section as the file has it."""
    return {"title": title, **({"when": when} if when else {}), "steps": steps}


def _at(entries: list[Any], place: int) -> Any:
    """The entry at a place, or that there is none."""
    if not 0 <= place < len(entries):
        raise NoSuchPlace
    return entries[place]


def _move(entries: list[Any], place: int, direction: Direction) -> None:
    """Exchange an entry with the one before or after it."""
    _at(entries, place)
    other = place + (1 if direction == "down" else -1)
    if 0 <= other < len(entries):
        entries[place], entries[other] = entries[other], entries[place]
