"""Constructions to begin from, read from their files, and which size tables hold what they need."""

import json
import re
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from grading.core.sizes.tables import SizeTable, number_of

FOLDER = Path(__file__).parent
KEYS = (
    "drop-shoulder",
    "raglan",
    "set-in",
    "cuff-to-cuff",
    "waistcoat",
    "hat",
    "mittens",
    "shawl",
    "blanket",
)

# Ease at the body by class, the numbers that stand in the middle of each class or where it begins.
# Source: Craft Yarn Council, Ease & Fit chart, booklet of 5 February 2018, p. 13; the inches are from memory.
EASE_SOURCE = (
    "After the Craft Yarn Council’s ease and fit chart of 5 February 2018. Check that it suits your garment."
)
EASED_OVER = {"girth": "the body", "head": "the head", "hand": "the hand", "reach": "the arms reach"}
EASES = {
    "very close": ("-5 cm", "-2 in"),
    "close": ("0 cm", "0 in"),
    "classic": ("8 cm", "3 in"),
    "loose": ("13 cm", "5 in"),
    "oversized": ("18 cm", "7 in"),
}
# The largest chest of babies and of children in the yarn trade's tables, with an inch to spare.
LARGEST_BABY_MM = 21 * 25.4
LARGEST_CHILD_MM = 33.5 * 25.4


_CHILD_SIZE = re.compile(r"\b(?:months?|years?)\b", re.IGNORECASE)


@dataclass(frozen=True)
class Construction:
    """One construction: what it needs, what may be chosen, and its pattern file with marks."""

    key: str
    name: str
    says: str
    source: str
    fabrics: tuple[str, ...]
    needs: dict[str, dict[str, Any]]
    eases: dict[str, tuple[str, str]]
    ease: str
    words: dict[str, dict[str, Any]]
    pattern: dict[str, Any]

    @property
    def eased_over(self) -> str:
        """What the ease is counted from: the girth of a body, a head, a hand, or as far as the arms reach."""
        return next(EASED_OVER[need] for need in self.needs if need in EASED_OVER)

    @property
    def ease_source(self) -> str:
        """Where its eases come from: the chart is of garments alone."""
        return EASE_SOURCE if "girth" in self.needs else self.source

    @property
    def options(self) -> list[dict[str, Any]]:
        """The options that a pattern of this construction may offer."""
        return list(self.pattern["options"])


@cache
def constructions() -> dict[str, Construction]:
    """All constructions, by key, in the order in which they are offered."""
    return {key: _read(key) for key in KEYS}


def _read(key: str) -> Construction:
    """One construction from its file."""
    typed = json.loads((FOLDER / "constructions" / f"{key}.json").read_text("utf-8"))
    named = typed.pop("eases")
    eases = {word: EASES[word] for word in named} if isinstance(named, list) else named
    return Construction(key=key, eases=eases, fabrics=tuple(typed.pop("fabrics")), **typed)


@cache
def fabrics() -> dict[str, Any]:
    """The words of all fabrics and crafts."""
    return dict(json.loads((FOLDER / "fabrics.json").read_text("utf-8")))


def taken_from(construction: Construction, table: SizeTable) -> dict[str, str]:
    """The measurement of a table that serves each need; needs that it has nothing for are left out."""
    known = {one.name for one in table.measurements if all(entry is not None for entry in one.entries)}
    served = {
        need: next((name for name in of["from"] if name in known), "")
        for need, of in construction.needs.items()
    }
    return {need: name for need, name in served.items() if name}


def lacking(construction: Construction, table: SizeTable) -> list[str]:
    """What a construction needs and a table does not have, in words."""
    served = taken_from(construction, table)
    return [of["label"] for need, of in construction.needs.items() if need not in served]


def wearer_of(table: SizeTable) -> str:
    """Who wears the sizes of a table, judged by the largest chest; adults where it has none."""
    for one in table.measurements:
        if one.name in ("bust", "chest"):
            girths = [number_of(entry, "middle") or 0 for entry in one.entries]
            largest = max(girths) * table.mm_per_unit
            if largest <= LARGEST_CHILD_MM:
                return "baby" if largest <= LARGEST_BABY_MM else "child"
    return "child" if any(_CHILD_SIZE.search(size) for size in table.sizes) else "adult"
