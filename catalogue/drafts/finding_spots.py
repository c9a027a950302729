"""Where a finding stands: in the words of the pattern, and on which page it is mended."""

import re
from dataclasses import dataclass
from typing import Any

from django.urls import reverse

from grading.grid.finding_groups import FindingGroup, finding_groups
from grading.grid.grid import place_label
from grading.sheets.documents import PARTS, Document, entries_of

_STEP = re.compile(r"sections\[(\d+)\]\.steps\[(\d+)\]")
_SECTION = re.compile(r"sections\[(\d+)\]")
_ENTRY = re.compile(r"(\w+)(?:\.(\w+)|\[(\d+)\])")


def finding_words(document: Document, finding: dict[str, Any]) -> str:
    """Where a finding stands, and in which size where it names one."""
    place = place_label(document, finding["where"])
    return f"{place}, size {finding['size']}" if finding.get("size") else place


def finding_page(slug: str, document: Document, where: str) -> str:
    """The page on which what stands at a place is mended."""
    if step := _STEP.match(where):
        return reverse("step", args=[slug, *(int(one) + 1 for one in step.groups())])
    if section := _SECTION.match(where):
        return reverse("section", args=[slug, int(section.group(1)) + 1])
    if where.startswith(("sections", "abbreviations")):
        return reverse("words", args=[slug])
    if where.startswith("special_stitches"):
        return reverse("pattern_stitches", args=[slug])
    if where.startswith("stitch_patterns"):
        return _stitch_page(slug, document, where)
    if place := _entry_place(document, where):
        return reverse("entry", args=[slug, *place])
    if where.startswith(("wearer", "hazards", "notions", "skill", "construction")):
        return reverse("facts", args=[slug])
    return reverse("sheet", args=[slug])


def _stitch_page(slug: str, document: Document, where: str) -> str:
    """The form of a stitch pattern; the list of them where the pattern does not have it."""
    found = _ENTRY.match(where)
    names = [one["name"] for one in document.get("stitch_patterns", [])]
    if found is None or found[2] not in names:
        return reverse("stitch_patterns", args=[slug])
    return reverse("stitch_pattern", args=[slug, names.index(found[2]) + 1])


@dataclass(frozen=True)
class LinkedFinding:
    """A finding with the page on which it is mended."""

    group: FindingGroup
    page: str


def linked_findings(slug: str, document: Document, findings: list[dict[str, Any]]) -> list[LinkedFinding]:
    """The findings of a pattern in the groups that the sheet shows, what stops it first."""
    groups = finding_groups(document, findings)
    return [LinkedFinding(group, finding_page(slug, document, group.where)) for group in groups]


def _entry_place(document: Document, where: str) -> tuple[str, int] | None:
    """The part and the number of an entry that a place names, where the pattern has it."""
    found = _ENTRY.match(where)
    if found is None or found.group(1) not in PARTS or found.group(1) == "sizes":
        return None
    part, name, number = found.groups()
    names = [known for known, _ in entries_of(document, part)]
    if name in names:
        return part, names.index(name)
    return (part, int(number)) if number and int(number) < len(names) else None
