"""The order of work in small pictures: what each section makes of the garment."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from catalogue.drawings.garment_pictures import Layer
from catalogue.drawings.nests import Frame, Paper, edge_path, frame_of
from catalogue.drawings.worn_pieces import (
    BACK,
    BODY,
    FRONT,
    SLEEVE,
    WornPiece,
    is_made,
    sample_choices,
    worn_in_sample,
)
from grading.core.grade.grade import Graded
from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import PatternFile, SectionEntry
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING

SMALL_WIDE_MM, SMALL_HIGH_MM = 29.0, 24.0
SMALL_BELOW_MM = 1.0
FEWEST_STEPS = 2
# What is made at a piece that is there already, named after it.
_AT_A_PIECE = re.compile(
    r"\b(?:back|body|front|sleeve|yoke)s?['’]?\s+(?:button |buttonhole )?"
    r"(?:bands?|borders?|buttonbands?|cuffs?|edges?|edgings?|facings?|hems?|necks?|neckbands?|plackets?|pockets?"
    r"|ribs?|seams?)\b"
)
IN_ONE = {BODY, "bodice", "yoke"}
DONE, NOW = "#efe4cd", "#8fb5b9"


@dataclass(frozen=True)
class OrderStep:
    """A small picture: what is made in one section, seen from the front or from behind."""

    number: int
    title: str
    frame: Frame
    layers: tuple[Layer, ...]
    made: frozenset[int] = frozenset()
    is_back: bool = False


def order_of_work(facts: Facts, graded: Graded, kept: Sequence[int], share: float = 1.0) -> list[OrderStep]:
    """One small picture for each section that makes a piece of the garment, in the order of work.

    They take a share of the room that they may have at the most.
    """
    worn = worn_in_sample(graded, kept[len(kept) // 2])
    if facts.pattern.wording == FIRST_WORDING or not worn:
        return []
    edges = np.concatenate([one.edge for one in worn])
    low, high = edges.min(axis=0), edges.max(axis=0)
    scale = float(max((high - low) / (SMALL_WIDE_MM, SMALL_HIGH_MM))) / share
    on_paper = Paper(float(low[0]), float(high[1]), scale)
    wide, tall = ((high - low) / scale).tolist()
    defaults = sample_choices(facts.pattern)
    found: list[OrderStep] = []
    done: set[int] = set()
    named = _Named(facts.pattern)
    for section in facts.pattern.sections:
        if not is_made(section.when, defaults):
            continue
        now = named.made_in(section, worn, done)
        if not now:
            _go_on(found, section, named.made_in(section, worn, set()))
            continue
        number = len(found) + 1
        is_back = facts.pattern.wording > WIDE_WORDING and _shows_back(worn, now)
        layers = tuple(
            Layer(edge_path(on_paper(worn[i].edge)), NOW if i in now else DONE if i in done else "none")
            for i in _layers_seen(worn, done, is_back=is_back)
        )
        seen = ", seen from the back" if is_back else ""
        words = f"Step {number}{seen}: {section.title}. "
        words += "What is made now is dark, what is made already is lighter."
        frame = frame_of((-0.5, -0.5, wide + 0.5, tall + SMALL_BELOW_MM), words)
        found.append(OrderStep(number, section.title, frame, layers, frozenset(now), is_back))
        done |= now
    return found if len(found) >= FEWEST_STEPS else []


def _shows_back(worn: Sequence[WornPiece], now: set[int]) -> bool:
    """Whether a back is made, and no front with it, which would hide it."""
    roles = {worn[i].role for i in now}
    return BACK in roles and FRONT not in roles


def _layers_seen(worn: Sequence[WornPiece], done: set[int], *, is_back: bool) -> list[int]:
    """The pieces from the hindmost on; from the back fronts that are done lie under all else."""
    places = range(len(worn))
    if not is_back:
        return list(places)
    fronts = [i for i in places if worn[i].role == FRONT]
    return [*(i for i in fronts if i in done), *(i for i in places if i not in fronts)]


def _go_on(found: list[OrderStep], section: SectionEntry, pieces: set[int]) -> None:
    """Name a section beside the one that began the same piece: the yoke, then the body of a garment."""
    for place, step in enumerate(found):
        if pieces and pieces <= step.made:
            title = section.title[:1].lower() + section.title[1:]
            found[place] = replace(step, title=f"{step.title}, {title}")
            return


class _Named:
    """What the titles of a pattern's sections name."""

    def __init__(self, pattern: PatternFile) -> None:
        self.is_old = pattern.wording <= WIDE_WORDING
        self.titles = set[str]().union(*(self.words(section) for section in pattern.sections))

    def words(self, section: SectionEntry) -> set[str]:
        """The words of a title, without pieces that something is only made at, as in “Front bands”."""
        title = section.title.casefold()
        return set(re.findall(r"[a-z]+", title if self.is_old else _AT_A_PIECE.sub(" ", title)))

    def names_of(self, role: str) -> set[str]:
        """The words that name a piece; back and fronts that no title names are made with the body."""
        if role == BODY:
            return {BODY, BACK, "yoke", "fronts"}
        own = {role, f"{role}s"}
        in_one = role in (BACK, FRONT) and not self.is_old and not own & self.titles
        return own | IN_ONE if in_one else own

    def made_in(self, section: SectionEntry, worn: Sequence[WornPiece], done: set[int]) -> set[int]:
        """The pieces that a section makes: its title names their part, and a side where there are two."""
        words = self.words(section)
        found = set()
        for i, one in enumerate(worn):
            if not words & self.names_of(one.role) or i in done:
                continue
            if one.role in (FRONT, SLEEVE) and not _is_this_side(one, words):
                continue
            found.add(i)
        return found


def _is_this_side(one: WornPiece, words: set[str]) -> bool:
    """Whether a title that names a side means this one: the wearer's right lies left in the picture."""
    if "left" not in words and "right" not in words:
        return True
    at_left = one.edge[:, 0].mean() < 0
    return ("right" in words) if at_left else ("left" in words)
