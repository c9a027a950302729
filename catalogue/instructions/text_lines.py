"""The instructions as one text: headings and steps in their order, each a line of a form; pure."""

import json
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

from grading.core.formula.errors import PatternFileError
from grading.core.instructions.steps import LONGEST_STEP

Kind = Literal["title", "step"]
Sections = list[dict[str, Any]]

UNTITLED = "Section without a title"
MOST_LINES = 450  # a heading sends two fields, and a form holds a thousand
_FIELD = re.compile(r"(title|step|when)-(\d{1,4})")
_ACT = re.compile(r"(up|down|out|step|section|block)-(\d{1,4})")
_PLACE = re.compile(r"\$\.sections\[(\d+)\](?:\.steps\[(\d+)\])?")


@dataclass(frozen=True)
class TextLine:
    """A heading or a step as typed; `when` is the condition of a section as JSON, "" for none."""

    kind: Kind
    text: str
    when: str = ""


@dataclass(frozen=True)
class Problem:
    """What is wrong with a line that can't be saved like this; the place counts from 0, None = nowhere."""

    place: int | None
    says: str


@dataclass(frozen=True)
class WrittenSections:
    """Sections as a pattern file has them, the line of each heading and step, and what is wrong."""

    sections: Sections
    titles: tuple[int, ...]
    steps: tuple[tuple[int, ...], ...]
    problems: tuple[Problem, ...]

    def line_of(self, refusal: PatternFileError) -> int | None:
        """The line that a refusal speaks of, None where it is none of them."""
        found = _PLACE.match(refusal.path)
        if found is None or int(found.group(1)) >= len(self.titles):
            return None
        section = int(found.group(1))
        return self.titles[section] if found.group(2) is None else self.steps[section][int(found.group(2))]


def with_sections(document: Mapping[str, Any], written: WrittenSections) -> dict[str, Any]:
    """A document with other sections; one that has none stays without the key."""
    return (
        {**document, "sections": written.sections}
        if written.sections or "sections" in document
        else {**document}
    )


def lines_of(sections: Sections) -> list[TextLine]:
    """The lines of sections as a pattern file has them."""
    lines = []
    for section in sections:
        lines.append(TextLine("title", section["title"], condition_text(section.get("when"))))
        lines += [TextLine("step", step) for step in section["steps"]]
    return lines


def condition_text(when: Mapping[str, Any] | None) -> str:
    """The condition of a section as a form sends it."""
    return json.dumps(when, ensure_ascii=False) if when else ""


def read_lines(sent: Mapping[str, str]) -> list[TextLine]:
    """The lines of a form, in the order of the numbers in the names of its fields."""
    fields = sorted(
        (int(found.group(2)), found.group(1), _plain(sent[name]))
        for name in sent
        if (found := _FIELD.fullmatch(name))
    )
    when = {place: text for place, key, text in fields if key == "when"}
    return [
        TextLine("step", text)
        if key == "step"
        else TextLine("title", " ".join(text.split()), when.get(place, "").strip())
        for place, key, text in fields
        if key != "when"
    ]


def _plain(text: str) -> str:
    """Browsers send line ends of their own: a pattern file has plain ones, and none at the end."""
    return text.replace("\r\n", "\n").replace("\r", "\n").replace("\x00", "").rstrip()


def sections_from(lines: Sequence[TextLine]) -> WrittenSections:
    """Turn lines into sections; lines without words fall out, as do empty headings without steps."""
    sections: Sections = []
    titles: list[int] = []
    steps: list[list[int]] = []
    problems = []
    for place, line in enumerate(lines):
        if line.kind == "title" and (line.text or _has_steps(lines, place)):
            sections.append({"title": line.text or UNTITLED, **_when(line), "steps": []})
            titles.append(place)
            steps.append([])
        elif line.kind == "step" and line.text.strip():
            if not sections:
                sections.append({"title": UNTITLED, "steps": []})
                titles.append(place)
                steps.append([])
            sections[-1]["steps"].append(line.text)
            steps[-1].append(place)
        problems += [Problem(place, says) for says in _problems(lines, place)]
    return WrittenSections(sections, tuple(titles), tuple(map(tuple, steps)), tuple(problems))


def _problems(lines: Sequence[TextLine], place: int) -> Iterable[str]:
    """Say what keeps a line from being saved."""
    line = lines[place]
    if line.kind == "title":
        if not line.text and _has_steps(lines, place):
            yield "This section has steps and no title: write one, for example “Back”."
        if read_condition(line.when) is None:
            yield "This condition can't be understood: choose one from the list."
    elif line.text.strip() and all(one.kind == "step" for one in lines[:place]):
        yield "This step is in no section: put a section with a title before it."
    if len(line.text) > LONGEST_STEP:
        yield f"At most {LONGEST_STEP:,} characters fit in a step: divide it."


def _has_steps(lines: Sequence[TextLine], place: int) -> bool:
    """Whether a heading has a step with words below it."""
    return any(line.text.strip() for line in lines[place + 1 : end_of_section(lines, place)])


def end_of_section(lines: Sequence[TextLine], place: int) -> int:
    """The place behind the last step of the section that a line stands in."""
    ahead = range(place + 1, len(lines))
    return next((one for one in ahead if lines[one].kind == "title"), len(lines))


def _when(line: TextLine) -> dict[str, Any]:
    """The condition of a heading as a section of a pattern file has it."""
    when = read_condition(line.when)
    return {"when": when} if when else {}


def read_condition(text: str) -> dict[str, str | list[str]] | None:
    """Read a condition that a form sent; None when it is none."""
    try:
        when: Any = json.loads(text or "{}")
    except (ValueError, RecursionError):
        return None
    is_condition = isinstance(when, dict) and all(
        isinstance(one, str) or (isinstance(one, list) and all(isinstance(choice, str) for choice in one))
        for one in when.values()
    )
    condition: dict[str, str | list[str]] | None = when if is_condition else None
    return condition


def change_lines(lines: Sequence[TextLine], act: str, block: str = "") -> tuple[list[TextLine], int]:
    """Do what a button beside a line asks for; return the lines and the place to go on at.

    An act is a word and the number of a line: `up-3`, `down-3`, `out-3`, `step-3` (a step below it),
    `section-3` (a section below its section), `block-3` (put it into a block). Others do nothing.
    """
    changed = list(lines)
    found = _ACT.fullmatch(act)
    if found is None or int(found.group(2)) >= len(changed):
        return changed, -1
    word, place = found.group(1), int(found.group(2))
    if word in ("up", "down"):
        return _moved(changed, place, word)
    if word == "out":
        del changed[place]
        return changed, min(place, len(changed) - 1)
    if word == "block":
        return _in_block(changed, place, block), place
    if word == "step":
        return [*changed[: place + 1], TextLine("step", ""), *changed[place + 1 :]], place + 1
    end = end_of_section(changed, place)
    return [*changed[:end], TextLine("title", ""), TextLine("step", ""), *changed[end:]], end


def _in_block(lines: list[TextLine], place: int, block: str) -> list[TextLine]:
    """Put a step into a block; a title stands in none."""
    line = lines[place]
    if line.kind == "step":
        lines[place] = replace(line, text=f"::: {block}\n{line.text}\n:::")
    return lines


def _moved(lines: list[TextLine], place: int, word: str) -> tuple[list[TextLine], int]:
    """Exchange a step with its neighbour, or a section with the one before or after it."""
    start, end = (place, place + 1)
    if lines[place].kind == "title":
        end = end_of_section(lines, place)
    if word == "down":
        if end == len(lines):
            return lines, place
        further = end_of_section(lines, end) if lines[place].kind == "title" else end + 1
        return [
            *lines[:start],
            *lines[end:further],
            *lines[start:end],
            *lines[further:],
        ], place + further - end
    before = start - 1
    while lines[place].kind == "title" and before > 0 and lines[before].kind == "step":
        before -= 1
    if before < 0 or (before == 0 and lines[place].kind == "step"):
        return lines, place
    return [*lines[:before], *lines[start:end], *lines[before:start], *lines[end:]], before
