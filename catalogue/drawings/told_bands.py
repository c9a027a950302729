"""What a pattern tells of its bands: how deep each is, of which yarn, and how it is worked.

Nothing but the pattern's own labels says it. A line is the depth of a band where its label is made of words
for bands alone, as "Hem rib" or "Hem and cuffs, rows"; "Hem to armhole, rows" is not.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from catalogue.drawings.worn_pieces import is_made, sample_choices
from grading.core.instructions.facts import Facts
from grading.core.pattern.pattern import ValueEntry, YarnSectionEntry

HEM, CUFF, NECK, FRONT, ARMHOLE, HOOD = "hem", "cuff", "neck", "front", "armhole", "hood"
KINDS = (HEM, CUFF, NECK, FRONT, ARMHOLE, HOOD)
# What is said of a band that is not drawn.
CALLED = {
    HEM: "band at the hem",
    CUFF: "cuffs",
    NECK: "neckband",
    FRONT: "front band",
    ARMHOLE: "armhole bands",
    HOOD: "band of the hood",
}
_NAMES = {
    HEM: {"hem", "welt"},
    CUFF: {"cuff", "cuffs", "wrist", "wrists"},
    NECK: {"neck", "neckband", "collar"},
    FRONT: {"front", "fronts", "button"},
    ARMHOLE: {"armhole", "armholes"},
    HOOD: {"hood"},
}
_AT_EDGE = {"band", "bands", "edging", "edgings", "border", "borders"}
_RIBS = {"rib", "ribs", "ribbing"}
_BANDS = _AT_EDGE | _RIBS | {"hem", "welt", "cuff", "cuffs", "neckband", "collar", "brim"}
# Words of a kind that are a place, and no band by themselves.
_FILLERS = {"and", "of", "the", "at", "rows", "rounds", "width", "height", "depth"}
_VOCABULARY = _BANDS | _FILLERS | {word for words in _NAMES.values() for word in words}
_FABRIC_OF_ROWS = re.compile(r"\b([a-z]\w*)\.rows\b")
_DIVIDED_BY_ROWS = re.compile(r"\s*/\s*[a-z]\w*\.rows\s*$")
_BELOW = re.compile(r"\bbelow\b.*\b(?:back|front|body)\b")
_LAST_FACTOR = re.compile(r"\*\s*(?:(\d+) rows?|([a-z]\w*))$")
_DEEPEST_SHARE = 0.25


@dataclass(frozen=True)
class ToldBand:
    """A band in one size: depth in mm, whether its yarn is not the garment's, whether it is ribbed."""

    depth_mm: float
    is_other: bool
    is_ribbed: bool


def kinds_in(text: str) -> set[str]:
    """The edges that a band is named after, in words of the author; none where they name no band."""
    words = set(_words(text))
    if not words & _BANDS:
        return set()
    if _BELOW.search(text.casefold()):
        return {HEM}
    return {kind for kind in KINDS if words & _NAMES[kind]}


def named_kinds(facts: Facts) -> set[str]:
    """The edges at which the sample has a band, as joins, parts of the yarn and sections say."""
    defaults = sample_choices(facts.pattern)
    of = (facts.pattern.joins, facts.pattern.yarn_sections, facts.pattern.sections)
    texts = [
        getattr(one, "label", "") or getattr(one, "title", "") or getattr(one, "name", "")
        for entries in of
        for one in entries
        if is_made(one.when, defaults)
    ]
    return {kind for text in texts for kind in kinds_in(text)}


def names_any(facts: Facts) -> bool:
    """Whether any section or part of the yarn that the sample has is called after a band."""
    made = sample_choices(facts.pattern)
    texts = [
        *(one.title for one in facts.pattern.sections if is_made(one.when, made)),
        *(one.name for one in facts.pattern.yarn_sections if is_made(one.when, made)),
    ]
    return any(set(_words(text)) & _BANDS for text in texts)


def bands_beside(facts: Facts, shown: Iterable[str]) -> list[str]:
    """What the sample has of bands that none of the parts shown is called after, as the yarn's parts say."""
    defaults = sample_choices(facts.pattern)
    names = (one.name for one in facts.pattern.yarn_sections if is_made(one.when, defaults))
    drawn = {word for name in shown for word in (name, f"{name}s")}
    return list(
        dict.fromkeys(name.lower() for name in names if _is_band(name) and not drawn & {*_words(name)})
    )


def is_in_rib(facts: Facts, part: str) -> bool:
    """Whether the steps that speak of a part say that it is worked in rib."""
    steps = (step for section in facts.pattern.sections for step in (section.title, *section.steps))
    of_part = re.compile(rf"\b{part}|\{{{part}\w*_(?:rows|rounds)\}}", re.IGNORECASE)
    return any(
        of_part.search(step) and re.search(r"\bof rib\b|\brib:", step, re.IGNORECASE) for step in steps
    )


class ToldBands:
    """The bands of a pattern in one size."""

    def __init__(self, facts: Facts, place: int, height_mm: float) -> None:
        """Of the size at `place`, with the choices of the sample; none is deeper than a share of a height."""
        self.facts, self.place, self.most_mm = facts, place, _DEEPEST_SHARE * height_mm
        self.choices = sample_choices(facts.pattern)
        self.sections = [one for one in facts.pattern.yarn_sections if is_made(one.when, self.choices)]
        self.rows_per_mm = {fabric.name: fabric.rows_per_mm for fabric in facts.pattern.fabrics}
        self.steps = [step for section in facts.pattern.sections for step in section.steps]

    def of(self, kind: str, *, is_joined: bool = False) -> ToldBand | None:
        """The band at an edge, or one that is joined to it; None where nothing tells how deep it is.

        What is named after the edge comes before what is called a band alone. Where a part of the yarn is
        named after it, nothing else is guessed.
        """
        own = [one for one in self.sections if kind in _kinds_of_label(one.name)]
        wanted = _AT_EDGE if is_joined else _RIBS if kind in (HEM, CUFF) else _AT_EDGE
        shared = [one for one in self.sections if _is_shared(one.name, wanted)]
        values = [one for one in self.facts.pattern.values if kind in _kinds_of_label(one.label)]
        found = self._first(own, values)
        if found is None and not own and not values:
            alike = [one for one in self.facts.pattern.values if _is_shared(one.label, wanted)]
            found = self._first(shared, alike)
        return None if found is None else self._told(found, next(iter(own or shared), None))

    def at_corner(self, formula: str, height_mm: float) -> ToldBand | None:
        """The band that ends at a corner of an outline, where the corner's formula is the depth of one alone.

        That is a value, or its rows in a fabric: "hem_rib", or "cuff_rounds / rib.rows".
        """
        if not 0 < height_mm <= self.most_mm:
            return None
        for value in self.facts.pattern.values:
            if _is_band(value.label) and _DIVIDED_BY_ROWS.sub("", formula).strip() == value.name:
                kinds = _kinds_of_label(value.label)
                section = next((one for one in self.sections if kinds & _kinds_of_label(one.name)), None)
                return self._told((height_mm, f"{value.name} {value.label}"), section)
        return None

    def above(self, kind: str) -> ToldBand | None:
        """The rows of a stitch pattern above a band, as in "Rounds of seeds above the hem"."""
        for value in self.facts.pattern.values:
            below = value.label.casefold().partition(" above the ")[2]
            if value.kind == "rows" and kind in kinds_in(below) and self._is_in_pattern(value.label):
                depth = self._depth_of(value)
                return ToldBand(depth, is_other=False, is_ribbed=False) if depth else None
        return None

    def _is_in_pattern(self, label: str) -> bool:
        """Whether a label has a word of the name of a stitch pattern."""
        words = set(_words(label.partition(" above the ")[0]))
        named = (f"{one.name} {one.label}".replace("_", " ") for one in self.facts.pattern.stitch_patterns)
        return any(words & {word for word in _words(text) if len(word) > 3} for text in named)

    def _first(self, sections: list[YarnSectionEntry], values: list[ValueEntry]) -> tuple[float, str] | None:
        """The first depth that can be one, and the words that it was found by."""
        lengths = sorted(values, key=lambda one: one.kind != "length")
        found: tuple[tuple[float | None, str], ...] = (
            *(self._depth_worked(one) for one in sections),
            *((self._depth_of(one), f"{one.name} {one.label}") for one in lengths),
        )
        return next(((depth, words) for depth, words in found if depth), None)

    def _depth_worked(self, one: YarnSectionEntry) -> tuple[float | None, str]:
        """How deep a part of the yarn is that is worked over so many rows, with what names them."""
        found = _LAST_FACTOR.search(one.worked.strip())
        if found is None:
            return None, ""
        rows = float(found.group(1)) if found.group(1) else self._number(found.group(2))
        per_mm = self.rows_per_mm.get(one.fabric)
        depth = self._within(rows / per_mm if rows and per_mm else None)
        return depth, f"{found.group(2) or ''} {one.name}"

    def _depth_of(self, one: ValueEntry) -> float | None:
        """How deep a value says a band is: a length, or rows of the fabric that its formula names."""
        number = self._number(one.name)
        if one.kind == "length":
            return self._within(number)
        if one.kind != "rows" or not number or not self.rows_per_mm:
            return None
        named = [name for name in _FABRIC_OF_ROWS.findall(one.formula or "") if name in self.rows_per_mm]
        first = next(iter(self.rows_per_mm))
        return self._within(number / self.rows_per_mm[named[-1] if named else first])

    def _number(self, name: str) -> float | None:
        """The number of a line in this size."""
        number = self.facts.row(name)[self.place]
        return None if number is None else float(number)

    def _within(self, depth: float | None) -> float | None:
        """A depth that a band can have."""
        return depth if depth is not None and 0 < depth <= self.most_mm else None

    def _told(self, found: tuple[float, str], section: YarnSectionEntry | None) -> ToldBand:
        """The band with its yarn and fabric."""
        depth, words = found
        fabrics: Mapping[str, str] = {one.name: one.label for one in self.facts.pattern.fabrics}
        told = f"{words} {section.name} {fabrics.get(section.fabric, '')}" if section else words
        return ToldBand(depth, self._is_other(section), self._is_ribbed(told))

    def _is_other(self, section: YarnSectionEntry | None) -> bool:
        """Whether a part is worked in another yarn than the first that is no band."""
        body = next((one for one in self.sections if not _is_band(one.name)), None)
        if section is None or body is None:
            return False
        return self._yarn(section) != self._yarn(body)

    def _yarn(self, section: YarnSectionEntry) -> tuple[str | None, str | None]:
        """The colour or stripes of a part with the choices of the sample."""
        chosen = (one for one in section.by_choice if self.choices.get(one.option) == one.choice)
        one = next(chosen, section)
        return one.colour, one.stripes

    def _is_ribbed(self, words: str) -> bool:
        """Whether the words, or the step that names the line, say rib."""
        if set(_words(words.replace("_", " "))) & _RIBS:
            return True
        name = re.escape(words.split(" ", 1)[0])
        if not name:
            return False
        return any(re.search(rf"{{{name}\b[^}}]*}} (?:rows|rounds) of rib\b", step) for step in self.steps)


def _words(text: str) -> list[str]:
    """The words of a label, in small letters."""
    return re.findall(r"[a-z]+", text.casefold())


def _is_band(label: str) -> bool:
    """Whether a label is made of words for bands alone."""
    words = set(_words(label))
    return bool(words & _BANDS) and words <= _VOCABULARY


def _kinds_of_label(label: str) -> set[str]:
    """The edges that a label of a band alone names."""
    return kinds_in(label) if _is_band(label) else set()


def _is_shared(label: str, wanted: set[str]) -> bool:
    """Whether a label names a band, in one of the words that are wanted, and no edge."""
    words = set(_words(label))
    return bool(words & wanted) and _is_band(label) and not _kinds_of_label(label)
