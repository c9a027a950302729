"""Blocks of one pattern for another: a section or entries with all that they hang on, renamed by nobody."""

import re
from collections.abc import Iterator, Sequence
from typing import Any

from grading.core.instructions.references import Reference, parse_references
from grading.core.pattern.parts import label_of
from grading.entries.settling import settled_in
from grading.grid.refusals import KINDS
from grading.sheets.documents import PARTS, Document, entries_of, with_entries

# What people read: words there name no line.
_SAID = frozenset({"label", "says", "note", "how", "words", "title", "choice"})
_NAME = re.compile(r"[a-z][a-z0-9_]*", re.ASCII)
COPIED = tuple(part for part in PARTS if part != "sizes")
Spot = tuple[str, str]


def heading_of(part: str, name: str, entry: Any) -> str:
    """Return an entry by its label, or by its kind and its name in words: Curve: armhole curve."""
    label = entry.get("label") if isinstance(entry, dict) else ""
    return str(label) if label else f"{KINDS[part].capitalize()}: {label_of({'name': name})}"


def spots_of(document: Document) -> tuple[list[Spot], list[Spot]]:
    """Return what can be taken from a pattern: sections, and all else, each by key and label."""
    sections = [(f"sections.{i}", str(one["title"])) for i, one in enumerate(document.get("sections", []))]
    parts = ("pieces", "joins", "shapings", "curves", "pick_ups", "spreads", "stripes", "fabrics", "values")
    entries = [
        (f"{part}.{name}", heading_of(part, name, entry))
        for part in parts
        for name, entry in entries_of(document, part)
    ]
    return sections, entries


def block_of(document: Document, wanted: Sequence[str]) -> tuple[list[int], list[Spot]]:
    """Return the sections that are wanted, and all entries that they hang on, in file order."""
    known = {name: (part, name) for part in COPIED for name, _ in entries_of(document, part)}
    sections = [int(key.removeprefix("sections.")) for key in wanted if key.startswith("sections.")]
    sections = [one for one in sections if one < len(document.get("sections", []))]
    waiting = [known[name] for key in wanted if (name := key.partition(".")[2]) in known]
    for place in sections:
        section = document["sections"][place]
        waiting += [known[name] for name in _names_in_section(section) if name in known]
    found: set[Spot] = set()
    while waiting:
        spot = waiting.pop()
        if spot in found:
            continue
        found.add(spot)
        entry = dict(entries_of(document, spot[0]))[spot[1]]
        waiting += [known[name] for name in _names_in(entry) if name in known and name != spot[1]]
    order = [(part, name) for part in COPIED for name, _ in entries_of(document, part)]
    return sections, [spot for spot in order if spot in found]


def brought(
    target: Document, source: Document, wanted: Sequence[str]
) -> tuple[Document, list[str], list[str]]:
    """Return the target with a block of the source; what is new in it, and what it had and keeps, by label.

    Numbers of a size that the source does not have are left empty.
    """
    sections, spots = block_of(source, wanted)
    result, new, kept = dict(target), [], []
    taken = {name for part in COPIED for name, _ in entries_of(target, part)}
    for part, name in spots:
        entry = dict(entries_of(source, part))[name]
        label = label_of({"name": name, **entry})
        if name in taken:
            kept.append(label)
            continue
        new.append(label)
        fitted = _for_sizes(entry, source["sizes"], target["sizes"])
        result[part] = with_entries(part, [*entries_of(result, part), (name, fitted)])
    titles = [source["sections"][place] for place in sections]
    if titles:
        result["sections"] = [*result.get("sections", []), *titles]
    return result, [*(str(one["title"]) for one in titles), *new], kept


def _names_in_section(section: dict[str, Any]) -> Iterator[str]:
    """The names that a section's steps refer to, and its options."""
    yield from section.get("when", {})
    for step in section["steps"]:
        for piece in parse_references(step).pieces:
            if isinstance(piece, Reference) and piece.name:
                yield piece.name
                yield from piece.extra if piece.form == "with" else ()
        for line in step.splitlines():
            if line.lstrip(" ").startswith(":::"):
                yield from (found[1] for found in re.finditer(r"([a-z][a-z0-9_]*)=", line))


def _names_in(content: Any, key: str = "") -> Iterator[str]:
    """Whatever may be a name in an entry: in formulas, as a reference, as the option of a condition."""
    if isinstance(content, dict):
        for inner_key, inner in content.items():
            if key == "when":
                yield inner_key
            else:
                yield from _names_in(inner, inner_key)
    elif isinstance(content, list):
        for inner in content:
            yield from _names_in(inner, key)
    elif isinstance(content, str) and key not in _SAID:
        yield content
        yield from _NAME.findall(content)


def _for_sizes(entry: Any, sizes: Sequence[str], wanted: Sequence[str]) -> Any:
    """An entry for other sizes: each number goes with the label of its size."""
    if not isinstance(entry, dict) or list(sizes) == list(wanted):
        return entry
    fitted = dict(settled_in(entry, {size: size for size in sizes if size in wanted}))
    for key in ("list", "values"):
        if key in fitted:
            by_size = dict(zip(sizes, fitted[key], strict=False))
            fitted[key] = [by_size.get(size) for size in wanted]
    if "steps" in fitted and isinstance(fitted["steps"], dict):
        fitted.pop("steps")
        fitted["list"] = [None] * len(wanted)
    return fitted
