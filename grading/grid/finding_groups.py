"""Findings in one short list: what was noticed at a line, and in which sizes."""

import re
from dataclasses import dataclass
from typing import Any

from grading.core.grade.grade import Graded
from grading.core.sheet.noticing import excused_steps
from grading.grid.grid import place_label
from grading.sheets.documents import Document, entries_of

# A list that has no number in a size: that stops a pattern, and may be right.
MISSING = "missing"
# How a sentence that differs from size to size is said once, and by which key its line says that it is right.
_SHORT = (
    (
        re.compile(r".*: .+ is smaller than .+ in size .+; if this is right, note why\."),
        "smaller",
        "may_shrink",
    ),
    (re.compile(r"The step from .+ is .+, where .+ is usual\..*"), "a step unlike the others", "may_jump"),
    (re.compile(r"The ease over “(?P<body>.+)” is .+"), "not the ease that was wanted", "ease"),
    (re.compile(r"Rounding makes this .+ the tolerance is .+"), "moved too far by rounding", "rounding"),
    (
        re.compile(r"The entry .+ does not fit this line’s multiple.*"),
        "not a number of its multiple",
        "multiple",
    ),
    (re.compile(r"The neck is .+ round, about .+, and a head measures .+"), "too narrow for a head", ""),
    (re.compile(r"There is no number, and .*: enter it, or say why there is none\."), "no number", MISSING),
)


@dataclass(frozen=True)
class FindingGroup:
    """What was noticed at one spot, in one way: how it is said, in which sizes, and what may settle it."""

    part: str
    name: str
    place: str
    says: str
    sizes: tuple[str, ...]
    weight: str
    settled_by: str = ""
    where: str = ""

    @property
    def may_be_settled(self) -> bool:
        """Whether a reason lets it stay as it is: of what stops a pattern, only a number that is missing."""
        return bool(self.settled_by) and (self.weight == "warn" or self.settled_by == MISSING)

    @property
    def sentence(self) -> str:
        """All of it in one line."""
        where = f" in {', '.join(self.sizes)}" if self.sizes else ""
        is_short = any(self.says == short for _, short, _ in _SHORT)
        return f"{self.place}: {self.says}{where}" if is_short else f"{self.place}{where}: {self.says}"


def finding_groups(document: Document, findings: list[dict[str, Any]]) -> list[FindingGroup]:
    """Group findings by line and by what they say; what stops a pattern comes first."""
    sizes: dict[tuple[str, str, str, str], list[str]] = {}
    for one in findings:
        says, settled_by = _short(one["says"])
        if one["weight"] == "warn" and one["where"].startswith("checks."):
            settled_by = "holds"
        key = (one["where"], one["weight"], says, settled_by)
        sizes.setdefault(key, []).extend([one["size"]] if one["size"] is not None else [])
    groups = [
        FindingGroup(
            where.partition(".")[0], where.partition(".")[2], place_label(document, where), says, tuple(of),
            weight, settled_by, where,
        )
        for (where, weight, says, settled_by), of in sizes.items()
    ]  # fmt: skip
    return sorted(groups, key=lambda group: group.weight != "stop")


@dataclass(frozen=True)
class SettledLine:
    """What was said to be right as it is: where, what, in which sizes (all where none are named), and why."""

    part: str
    place: int
    label: str
    what: str
    sizes: tuple[str, ...]
    why: str
    name: str
    steps: tuple[str, ...] = ()
    """The numbers that it covers, such as "22 cm → 18 cm, 3X to 4X"."""

    @property
    def spot(self) -> str:
        """Where it is, as queries name it."""
        return f"{self.part}.{self.name}"


def settled_lines(document: Document, graded: Graded) -> list[SettledLine]:
    """Return what is settled in a pattern, in file order, each with its reason.

    An exception of a whole line counts where its numbers really need it now.
    """
    excused: dict[tuple[str, str], dict[str, str]] = {}
    for step in excused_steps(graded.pattern, graded.calculation):
        excused.setdefault((step.name, step.by), {})[step.size] = step.says
    found = []
    for part in ("values", "checks"):
        for place, (name, entry) in enumerate(entries_of(document, part)):
            label = place_label(document, f"{part}.{name}")
            note = str(entry.get("note", ""))
            found += [
                SettledLine(part, place, label, short, (), note, name, tuple(excused[name, key].values()))
                for _, short, key in _SHORT
                if part == "values" and (name, key) in excused and entry.get(key)
            ]
            for one in entry.get("settled", ()):
                what = next(
                    (short for _, short, key in _SHORT if key == one.get("what")), "a check that is not true"
                )
                steps = excused.get((name, str(one.get("what"))), {})
                shown = tuple(steps[size] for size in one["sizes"] if size in steps)
                found.append(
                    SettledLine(part, place, label, what, tuple(one["sizes"]), one["why"], name, shown)
                )
    return found


def _short(says: str) -> tuple[str, str]:
    """A sentence without its numbers, and the key that settles it; what is missing is said in full."""
    for pattern, short, key in _SHORT:
        if pattern.fullmatch(says):
            return (says if key == MISSING else short), key
    return says, ""
