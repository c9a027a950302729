"""A line renamed everywhere: in formulas, checks, shapings, pieces, yarn parts, pick-ups and instructions."""

import re
from collections.abc import Callable
from typing import Any

from grading.core.pattern.file import SHARED_NAMES
from grading.core.pattern.parts import label_of
from grading.sheets.documents import PARTS, Document, entries_of, with_entries
from grading.sheets.naming import is_naming

RENAMED = (*SHARED_NAMES, "options")
_BRACES = re.compile(r"\{\{|\}\}|\{([^{}\n]*)\}")


def renamed(document: Document, part: str, old: str, new: str) -> tuple[Document, list[str]]:
    """Return a document in which all that names a line names it anew, and what that is, by label.

    The line itself keeps its name: whoever edits it gives it the new one.
    """
    rewrite = _whens(old, new) if part == "options" else _names(old, new)
    result, touched = dict(document), []
    for other in PARTS:
        if other == "sizes" or other not in document:
            continue
        entries = []
        for name, entry in entries_of(document, other):
            made = rewrite(other, entry)
            entries.append((name, made))
            if made != entry:
                touched.append(label_of({"name": name, **entry}))
        result[other] = with_entries(other, entries)
    for key in ("notions", "sections"):
        if key in document:
            result[key] = [rewrite(key, entry) for entry in document[key]]
    for place, one in enumerate(document.get("stitch_patterns", [])):
        if part != "options" and old in one.get("over", ()):
            over = [new if name == old else name for name in one["over"]]
            result["stitch_patterns"][place] = {**result["stitch_patterns"][place], "over": over}
            touched.append(one["label"])
    in_steps = _in_option_blocks(old, new) if part == "options" else _in_references(old, new)
    for place, section in enumerate(result.get("sections", [])):
        steps = [in_steps(step) for step in section["steps"]]
        changed = [at for at, step in enumerate(steps, 1) if step != section["steps"][at - 1]]
        touched += [f"{section['title']}, step {at}" for at in changed]
        result["sections"][place] = {**section, "steps": steps}
    return result, touched


def _names(old: str, new: str) -> Callable[[str, Any], Any]:
    """What puts one name in the place of another wherever lines are named."""
    word = re.compile(rf"(?<![A-Za-z0-9_])(?<!\.){re.escape(old)}(?![A-Za-z0-9_])", re.ASCII)

    def rewrite(part: str, content: Any, key: str = "") -> Any:
        if isinstance(content, dict):
            return {inner: rewrite(part, one, inner) for inner, one in content.items()}
        if isinstance(content, list):
            return [rewrite(part, one, key) for one in content]
        return word.sub(new, content) if isinstance(content, str) and is_naming(part, key) else content

    return rewrite


def _whens(old: str, new: str) -> Callable[[str, Any], Any]:
    """What renames an option in the conditions of entries and sections."""

    def rewrite(_part: str, content: Any) -> Any:
        if not isinstance(content, dict):
            return content
        made = dict(content)
        if old in (content.get("when") or {}):
            when = content["when"].items()
            made["when"] = {(new if option == old else option): choice for option, choice in when}
        if "by_choice" in content:
            rows = content["by_choice"]
            made["by_choice"] = [{**row, "option": new} if row["option"] == old else row for row in rows]
        return made

    return rewrite


def _in_references(old: str, new: str) -> Callable[[str], str]:
    """What renames a line in the references of a step, such as {back} or {raglan with body_extra}."""
    word = re.compile(rf"(^\s*|\swith\s+){re.escape(old)}(?![A-Za-z0-9_])", re.ASCII)

    def in_braces(found: re.Match[str]) -> str:
        if found[1] is None:
            return found[0]
        head, bar, words = found[1].partition("|")
        return f"{{{word.sub(lambda one: one[1] + new, head)}{bar}{words}}}"

    return lambda step: _BRACES.sub(in_braces, step)


def _in_option_blocks(old: str, new: str) -> Callable[[str], str]:
    """What renames an option where a block of a step is for one of its choices."""
    word = re.compile(rf"(?<![A-Za-z0-9_]){re.escape(old)}(?==)", re.ASCII)

    def in_step(step: str) -> str:
        lines = step.split("\n")
        return "\n".join(
            word.sub(new, line) if line.lstrip(" ").startswith(":::") else line for line in lines
        )

    return in_step
