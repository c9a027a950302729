"""Work that nothing begins or ends: no cast-on, no chain, no binding off, a tool never changed."""

import re
from collections.abc import Iterator

from grading.core.instructions.references import parse_references, words_only
from grading.core.pattern.pattern import PatternFile
from grading.core.sheet.findings import Finding, warn

# “in the second ch from the hook”, and what tells the chain that is meant.
_FROM_HOOK = re.compile(r"\bch(?:ain)? from (?:the )?hook\b", re.IGNORECASE)
_CHAINED = re.compile(
    r"\b(?:ch|chains?|foundation|chained)\b(?! from|-\d| ?\d+ ?\((?:does|counts))"
    r"|\bas (?:on|for|in|at|the)\b",
    re.IGNORECASE,
)
_ROWS = re.compile(r"(?:^|[.:)] )(?:row|round|rnd) 1\b[^:]{0,20}:", re.IGNORECASE | re.MULTILINE)
# What puts stitches there. Source: common practice.
_BEGINS = re.compile(
    r"\b(?:cast(?:ing)? on|co|ch|chains?|chained|foundation|pick(?:ed|ing)?|join(?:ed|ing)?|ring|loops?|"
    r"along|held|holder|onto|return|unworked|live|left|remain\w*|as (?:on|for|in|at|the)|same|continu\w+|"
    r"go on|from here|turn|again|divide\w*|re-?join\w*|waste|fdn|i-cord|around)\b",
    re.IGNORECASE,
)
# What leaves no stitch open. Source: common practice.
_ENDS = re.compile(
    r"\b(?:bind(?:ing)? off|bound off|cast(?:ing)? off|bo|fasten(?:ing)? off|graft\w*|kitchener|three-needle|"
    r"thread\w*|draw\w*|pull\w*|sew\w*|close\w*)\b",
    re.IGNORECASE,
)
_CAST_ON = re.compile(r"\b(?:cast(?:ing)? on|co)\b", re.IGNORECASE)
_TOOL = r"(?:needles?|hooks?|circulars?|tunisian hook|dpns)"
_CHANGED = re.compile(
    rf"\b(smaller|larger|bigger)(?: (?:tunisian|circular|regular))? {_TOOL}\b", re.IGNORECASE
)
_BY_SIZE = re.compile(rf"\d ?mm\b[^.;]{{0,30}}{_TOOL}\b|\bneedles? size\b|\bsize \d", re.IGNORECASE)


def unbegun_findings(pattern: PatternFile) -> Iterator[Finding]:
    """Warn of work that nothing begins or ends, and of a second tool that is never taken up.

    Args:
        pattern: The pattern as read; its numbers are not looked at.

    Yields:
        Findings (warn) at the step and at `sections`.

    Source: common practice of technical editing.
    """
    yield from _nothing_chained(pattern)
    yield from _nothing_cast_on(pattern)
    yield from _nothing_bound_off(pattern)
    yield from _never_changed(pattern)


def _words(pattern: PatternFile) -> list[list[str]]:
    """The words of every step by section, references blanked."""
    return [
        [words_only(step, parse_references(step)) for step in section.steps] for section in pattern.sections
    ]


def _nothing_chained(pattern: PatternFile) -> Iterator[Finding]:
    """Rows worked into chains that no step of the section tells."""
    for i, steps in enumerate(_words(pattern)):
        before = ""
        for j, step in enumerate(steps):
            for found in _FROM_HOOK.finditer(step):
                if not _CHAINED.search(before + step[: found.start()]):
                    says = (
                        "A stitch is worked into a chain from the hook, and no chain is told before it: "
                        "write how many to chain."
                    )
                    yield warn(f"sections[{i}].steps[{j}]", says)
            before += f"{step}\n"


def _nothing_cast_on(pattern: PatternFile) -> Iterator[Finding]:
    """Sections whose first row has no stitches to be worked on, nor any from the section before."""
    sections = _words(pattern)
    for i, steps in enumerate(sections):
        if i and not _ENDS.search(" ".join(sections[i - 1])):
            continue
        before = ""
        for j, step in enumerate(steps):
            row = _ROWS.search(step)
            if row and not _BEGINS.search(f"{before} {step[: row.start()]} {_sentence(step, row.end())}"):
                says = (
                    "Row 1 is told, and nothing says which stitches it is worked on: write how many to cast "
                    "on, to chain or to pick up."
                )
                yield warn(f"sections[{i}].steps[{j}]", says)
                break
            if row:
                break
            before += f"{step}\n"


def _sentence(text: str, start: int) -> str:
    """What follows up to the end of the sentence."""
    end = text.find(". ", start)
    return text[start : end if end >= 0 else len(text)]


def _nothing_bound_off(pattern: PatternFile) -> Iterator[Finding]:
    """A knitted pattern that casts on, and none of whose steps closes the stitches."""
    steps = [step for section in _words(pattern) for step in section]
    if pattern.craft != "knitting" or not any(_CAST_ON.search(step) for step in steps):
        return
    if not any(_ENDS.search(step) for step in steps):
        says = "No step binds the stitches off: write where, and how loosely."
        yield warn("sections", says)


def _never_changed(pattern: PatternFile) -> Iterator[Finding]:
    """A tool that steps call the smaller or the larger one, where none names the other."""
    steps = [step for section in _words(pattern) for step in section]
    found = [one.group(1).lower() for step in steps for one in _CHANGED.finditer(step)]
    named = {"larger" if one == "bigger" else one for one in found}
    tools = {one.tool_mm for one in pattern.fabrics if one.tool_mm}
    if (
        len(named) != 1
        or any(_BY_SIZE.search(step) for step in steps)
        or (len(tools) < 2 and "larger" in named)
    ):
        return
    has, lacks = ("smaller", "larger") if "smaller" in named else ("larger", "smaller")
    noun = "needle" if pattern.craft == "knitting" else "hook"
    says = (
        f"Steps name the {has} {noun}, and none says where to take the {lacks} one: write “Change to the "
        f"{lacks} {noun}.”"
    )
    yield warn("sections", says)
