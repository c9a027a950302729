"""The trail of a number: what it is made of, down to the body, and all that is made of it."""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from grading.core.pattern.parts import label_of
from grading.grid.grid import HELD, MM_PER_TYPED_UNIT, source_text
from grading.grid.shown_numbers import figure, unit_of
from grading.sheets.differences import GradedJson
from grading.sheets.documents import PARTS, Document, entries_of
from grading.sheets.naming import names_in

_REFERENCE = re.compile(r"(?<!\{)\{([a-z][a-z0-9_]*)(?:\s+with\s+([a-z][a-z0-9_]*))?")
TRAILED = tuple(part for part in PARTS if part not in {"sizes", "options", "yarns"})
# Deeper a trail goes on under the line's own; no pattern of the trade comes near.
MOST_DEEP = 20
Spot = tuple[str, str]


@dataclass(frozen=True)
class Trail:
    """One line on a trail with its number in one size; `again` where its branches are shown elsewhere."""

    part: str
    name: str
    place: int
    label: str
    number: str
    says: str
    again: bool = False
    branches: tuple["Trail", ...] = ()

    @property
    def spot(self) -> Spot:
        """What it is known by."""
        return self.part, self.name


@dataclass(frozen=True)
class TrailMap:
    """Who names whom in a pattern, and how a line is shown in one size."""

    document: Document
    graded: GradedJson
    size: int
    units: str
    entries: dict[Spot, tuple[int, Any]]
    made_of: dict[Spot, list[Spot]]
    makes: dict[Spot, list[Spot]]

    def sources_of(self, spot: Spot) -> Trail:
        """The line with all that it is made of, down to the body."""
        return self._trail(spot, self.made_of, set(), 0)

    def users_of(self, spot: Spot) -> Trail:
        """The line with all that is made of it, up to the instructions."""
        return self._trail(spot, self.makes, set(), 0)

    def reached_from(self, spot: Spot) -> set[Spot]:
        """All lines that a line is made of, however far."""
        reached: set[Spot] = set()
        waiting = [spot]
        while waiting:
            new = set(self.made_of.get(waiting.pop(), ())) - reached
            reached |= new
            waiting += new
        return reached

    def _trail(self, spot: Spot, links: dict[Spot, list[Spot]], seen: set[Spot], depth: int) -> Trail:
        """A line and its branches; what was met before is not unfolded again."""
        again = bool(links.get(spot)) and (spot in seen or depth == MOST_DEEP)
        inner: list[Trail] = []
        if not again:
            seen.add(spot)
            inner = [self._trail(one, links, seen, depth + 1) for one in links.get(spot, ())]
        return self._shown(spot, again=again, branches=tuple(inner))

    def _shown(self, spot: Spot, *, again: bool, branches: tuple[Trail, ...]) -> Trail:
        """A line as it is shown."""
        part, name = spot
        if part == "sections":
            return Trail(part, name, int(name.split(".")[0]), self._step_label(name), "", "", again, branches)
        place, entry = self.entries[spot]
        label = label_of({"name": name, **entry})
        number, says = self._number(part, name, entry), _source(part, entry)
        return Trail(part, name, place, label, number, says, again, branches)

    def _step_label(self, name: str) -> str:
        """A step by its section and number."""
        section, step = (int(one) for one in name.split("."))
        return f"{self.document['sections'][section]['title']}, step {step + 1}"

    def _number(self, part: str, name: str, entry: Any) -> str:
        """The number of a line in the size, with its unit; in words where it is none."""
        if part == "values":
            return self._figure(self.graded["values"].get(name, {}).get("worked"), entry["kind"])
        if part == "pick_ups":
            return self._figure(self.graded["pick_ups"].get(name), "stitches")
        if part == "body":
            factor = MM_PER_TYPED_UNIT[entry["unit"]]
            numbers = [None if one is None else one * factor for one in entry["values"]]
            return self._figure(numbers, "length")
        if part == "checks":
            held = self.graded["checks"].get(name)
            return HELD[held[self.size]] if held else ""
        return ""

    def _figure(self, numbers: Any, kind: str) -> str:
        """One number of a line with its unit."""
        if not numbers:
            return ""
        return f"{figure(numbers[self.size], kind, self.units)} {unit_of(kind, self.units)}".strip()


def trail_map(document: Document, graded: GradedJson, size: int, units: str) -> TrailMap:
    """Read who names whom, once for the whole pattern."""
    entries = {
        (part, name): (place, entry)
        for part in TRAILED
        for place, (name, entry) in enumerate(entries_of(document, part))
    }
    by_name: dict[str, Spot] = {}
    for part, name in entries:
        if part not in {"checks", "yarn_sections", "pieces"}:
            by_name.setdefault(name, (part, name))
    made_of = {spot: _known(names_in(spot[0], entry), by_name, spot) for spot, (_, entry) in entries.items()}
    for number, section in enumerate(document.get("sections", ())):
        for at, step in enumerate(section["steps"]):
            spot = ("sections", f"{number}.{at}")
            made_of[spot] = _known((one for pair in _REFERENCE.findall(step) for one in pair), by_name, spot)
    makes: dict[Spot, list[Spot]] = {}
    for spot, named in made_of.items():
        for one in named:
            makes.setdefault(one, []).append(spot)
    return TrailMap(document, graded, size, units, entries, made_of, makes)


def _known(names: Iterable[str], by_name: dict[str, Spot], own: Spot) -> list[Spot]:
    """The lines that names stand for, each once, the line itself left out."""
    return [one for one in dict.fromkeys(by_name[name] for name in names if name in by_name) if one != own]


def links_of(trail: Trail) -> list[tuple[Trail, Trail]]:
    """Which line of a trail branches to which, each pair once."""
    found: dict[tuple[Spot, Spot], tuple[Trail, Trail]] = {}
    waiting = [trail]
    while waiting:
        one = waiting.pop()
        for inner in one.branches:
            found.setdefault((one.spot, inner.spot), (one, inner))
            waiting.append(inner)
    return list(found.values())


def layers_of(trail: Trail) -> dict[Spot, int]:
    """How far each line of a trail stands from its root, the longest way counted; the root is 0."""
    links = [(one.spot, inner.spot) for one, inner in links_of(trail)]
    layers = {trail.spot: 0}
    for _ in range(MOST_DEEP):
        before = dict(layers)
        for one, inner in links:
            if one in layers and inner != trail.spot:
                layers[inner] = min(MOST_DEEP, max(layers.get(inner, 0), layers[one] + 1))
        if layers == before:
            break
    return layers


def _source(part: str, entry: Any) -> str:
    """What a line says of itself: its formula, its gauge, its statement."""
    if part == "values":
        return source_text(entry)
    if part == "fabrics":
        return f"{entry['stitches']} stitches, {entry['rows']} rows over {entry['over']}"
    if part == "pick_ups":
        return f"{entry['ratio']} along {entry['count']}"
    return str(entry.get("holds", entry.get("worked", "")))
