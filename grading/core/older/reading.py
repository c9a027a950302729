"""An older pattern read as a whole: sizes, gauge, sections, and the lists that may become values."""

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from grading.core.formula.typed_numbers import TypedNumberError
from grading.core.older.number_lists import NumberList, Numbers, find_number_lists, read_number
from grading.core.older.texts import FIRST_SECTION, OlderSection, read_sections

KINDS = {
    **dict.fromkeys(("mm", "cm", "in"), "length"),
    **dict.fromkeys(("m", "yd"), "yarn"),
    **dict.fromkeys(("g", "oz"), "weight"),
    "stitches": "stitches",
    "rows": "rows",
    "times": "count",
}
MM = {
    "mm": Decimal(1),
    "cm": Decimal(10),
    "in": Decimal("25.4"),
}  # International Yard and Pound Agreement, 1959
METRIC = {"mm", "cm"}
MOST_SIZES = 24
LONGEST_LABEL = 80

# Printed to the nearest ¼ in and ½ cm: two lists of one length differ by half a step of each at most.
SAME_LENGTH_MM = MM["in"] / 8 + MM["cm"] / 4

_SIZE_LINE = re.compile(r"^\W*(?:to fit )?sizes?\b\W*(.{3,400})$", re.IGNORECASE | re.MULTILINE)
_SIZE_LABEL = re.compile(r"[A-Za-z0-9][A-Za-z0-9+/–-]*(?: (?:years|months|yrs|mths))?")
_GAUGE = re.compile(
    r"(\d{1,3}(?:[.,]\d{1,2})?[¼½¾]?)\s*(?:sts?|stitches)\b[^\d\n]{1,60}(\d{1,3}(?:[.,]\d{1,2})?[¼½¾]?)\s*(?:rows?|rnds?|rounds?)\b"
    r"[^\n]{0,80}?\b(10\s?cm|4\s?(?:in\b|inch|\"|”|″))",
    re.IGNORECASE,
)
_BETWEEN_UNITS = re.compile(r"\s*[/(\[,;=]?\s*")
_STITCHES_BEFORE = re.compile(
    r"\b(?:ch|chain|cast on|co|bind off|bo|cast off|decrease|increase|sc|hdc|dc|tr|k|p|knit|purl|"
    r"pick up(?: and knit)?|skip|sl|slip)\s*$",
    re.IGNORECASE,
)
_ROWS_BEFORE = re.compile(r"\b(?:rows?|rnds?|rounds?)\s*$", re.IGNORECASE)
_LABEL_WORD = re.compile(r"[A-Za-z][A-Za-z'’-]*")
_LEFT_OUT = {
    "a",
    "an",
    "and",
    "are",
    "at",
    "for",
    "from",
    "in",
    "is",
    "of",
    "st",
    "sts",
    "the",
    "then",
    "there",
    "to",
    "until",
    "with",
}
_KIND_WORDS = {
    "stitches": "stitches",
    "rows": "rows",
    "count": "times",
    "length": "",
    "yarn": "yarn",
    "weight": "weight",
}


@dataclass(frozen=True)
class Spot:
    """Where a list stands: section and step count from 0, `start` and `end` from 0 in the step."""

    section: int
    step: int
    start: int
    end: int
    is_in_both: bool


@dataclass(frozen=True)
class Relation:
    """How a list follows from an earlier one: factor × the other + difference, in every size."""

    other: int
    factor: Decimal
    difference: Decimal


@dataclass(frozen=True)
class Candidate:
    """A list that may become a value.

    Attributes:
        label: Proposed from the words around it.
        kind: length, yarn, weight, stitches, rows or count.
        unit: The unit that was written, "" for none.
        numbers: One per size, None for a dash.
        spots: Where it stands.
        why: Why this kind, where no unit says so.
        relation: How it follows from an earlier candidate, or None.
        remarks: What the gauge says of it.
    """

    label: str
    kind: str
    unit: str
    numbers: Numbers
    spots: tuple[Spot, ...]
    why: str
    relation: Relation | None = None
    remarks: tuple[str, ...] = ()


@dataclass(frozen=True)
class Unread:
    """Something that stays as typed, with the reason; places count from 0."""

    section: int
    step: int
    text: str
    why: str


@dataclass(frozen=True)
class OlderGauge:
    """Stitches and rows over 10 cm or 4 in."""

    stitches: Decimal
    rows: Decimal
    over: str


@dataclass(frozen=True)
class OlderText:
    """What was read of an older pattern."""

    title: str
    sizes: tuple[str, ...]
    gauge: OlderGauge | None
    sections: tuple[OlderSection, ...]
    candidates: tuple[Candidate, ...]
    unread: tuple[Unread, ...]


@dataclass(frozen=True)
class _Found:
    """A list at its spot, with what the words around say."""

    spot: Spot
    listed: NumberList
    numbers: Numbers
    kind: str
    label: str
    why: str


def read_older_text(text: str, sizes: Sequence[str] = (), *, keep: str = "cm") -> OlderText:
    r"""Read the text of an older pattern.

    Args:
        text: The whole text; blank lines part its paragraphs.
        sizes: The labels of the sizes; where none are given, those of the line that begins with "Sizes".
        keep: cm or in: which of two lists of one length is kept.

    Returns:
        Sections and steps with every word, candidates for values, and lists that stay as typed.

    Source: ways of writing sizes, gauges and lists are common practice.

    >>> older = read_older_text("Sizes: S (M, L)\n\nBody\n\nCast on 61 (67, 73) sts.")
    >>> [(one.label, one.kind) for one in older.candidates]
    [('Body: cast on, stitches', 'stitches')]
    """
    title, sections = read_sections(text)
    labels = tuple(sizes) or _sizes_in(text)
    gauge = _gauge_in(text)
    if not labels:
        return OlderText(title, (), gauge, sections, (), ())
    found, unread = _look_through(sections, len(labels))
    candidates = _related(_gathered(_joined_units(found, sections, keep)))
    if gauge:
        candidates = [replace(one, remarks=_by_gauge(one, candidates, gauge)) for one in candidates]
    return OlderText(title, labels, gauge, sections, tuple(candidates), tuple(unread))


def _sizes_in(text: str) -> tuple[str, ...]:
    """The labels of the first line that begins with "Sizes" and holds at least two; () for none."""
    for match in _SIZE_LINE.finditer(text):
        labels = tuple(_SIZE_LABEL.findall(match.group(1)))
        apart = [part for part in re.split(r"[\s,;:/()\[\]{}|]+", match.group(1).strip(" .")) if part]
        if (
            2 <= len(labels) <= MOST_SIZES
            and len(set(labels)) == len(labels)
            and len(apart) <= 2 * len(labels)
        ):
            return labels
    return ()


def _gauge_in(text: str) -> OlderGauge | None:
    """The first gauge that the text states, in stitches and rows."""
    match = _GAUGE.search(text)
    if not match:
        return None
    try:
        stitches, rows = (read_number(number) for number in match.groups()[:2])
    except TypedNumberError:
        return None
    if not stitches or not rows:
        return None
    return OlderGauge(stitches, rows, "10 cm" if "cm" in match.group(3).lower() else "4 in")


def _look_through(sections: Sequence[OlderSection], sizes: int) -> tuple[list[_Found], list[Unread]]:
    """Every list of every step: with a number for each size, or unread."""
    found, unread = [], []
    for place, section in enumerate(sections):
        for number, step in enumerate(section.steps):
            for listed in find_number_lists(step):
                numbers = listed.numbers_for(sizes)
                if numbers is None:
                    unread.append(
                        Unread(place, number, step[listed.start : listed.end], _why_unread(listed, sizes))
                    )
                    continue
                kind, why = _kind_of(step, listed)
                end = listed.unit_end if kind in {"length", "yarn", "weight"} else listed.end
                spot = Spot(place, number, listed.start, end, is_in_both=False)
                label = _label(section.title, number, step[: listed.start], kind)
                found.append(_Found(spot, listed, numbers, kind, label, why))
    return found, unread


def _why_unread(listed: NumberList, sizes: int) -> str:
    """Why a list is no candidate."""
    if not listed.readings:
        return "a number in it can be read in two ways, such as 1,200"
    counts = sorted({len(numbers) for numbers in listed.readings})
    return f"{' or '.join(map(str, counts))} numbers, but {sizes} sizes"


def _kind_of(step: str, listed: NumberList) -> tuple[str, str]:
    """The kind of a list, and why where no unit says so."""
    if listed.unit:
        return KINDS[listed.unit], ""
    before = step[: listed.start]
    for pattern, kind in ((_STITCHES_BEFORE, "stitches"), (_ROWS_BEFORE, "rows")):
        if match := pattern.search(before):
            return kind, f"“{match.group().strip()}” is written before it"
    return "count", "no unit is written"


def _label(section: str, step: int, before: str, kind: str) -> str:
    """A label from the words before a list in its sentence, its section and its kind."""
    sentence = re.split(r"[.;()\[\]]|\d", before)[-1]
    words = [word for word in _LABEL_WORD.findall(sentence) if word.lower() not in _LEFT_OUT][-4:]
    said = " ".join(words) or f"step {step + 1}"
    kind_word = _KIND_WORDS[kind]
    tail = f", {kind_word}" if kind_word and kind_word not in said.lower() else ""
    if section == FIRST_SECTION:
        return f"{said[:1].upper() + said[1:]}{tail}"[:LONGEST_LABEL]
    return f"{section}: {said[:1].lower() + said[1:]}{tail}"[:LONGEST_LABEL]


def _joined_units(found: Sequence[_Found], sections: Sequence[OlderSection], keep: str) -> Iterator[_Found]:
    """Lists with one that says the same length in the other unit joined into one, which prints in both."""
    waiting = list(found)
    while waiting:
        first = waiting.pop(0)
        second = waiting[0] if waiting else None
        if second is None or not _is_same_length(first, second, sections):
            yield first
            continue
        waiting.pop(0)
        step = sections[first.spot.section].steps[first.spot.step]
        end = second.spot.end + (
            step[second.spot.end : second.spot.end + 1] in {")", "]"} and _opens(first, second, step)
        )
        kept = first if (first.listed.unit in METRIC) == (keep in METRIC) else second
        yield replace(kept, spot=replace(first.spot, end=end, is_in_both=True), label=first.label)


def _opens(first: _Found, second: _Found, step: str) -> bool:
    """Whether a bracket is opened between two lists."""
    return any(sign in step[first.spot.end : second.spot.start] for sign in "([")


def _is_same_length(first: _Found, second: _Found, sections: Sequence[OlderSection]) -> bool:
    """Whether the second stands right after the first and says the same in the other system of units."""
    one, other = first.spot, second.spot
    if (one.section, one.step) != (other.section, other.step) or {first.kind, second.kind} != {"length"}:
        return False
    if (first.listed.unit in METRIC) == (second.listed.unit in METRIC):
        return False
    between = sections[one.section].steps[one.step][one.end : other.start]
    pairs = zip(first.numbers, second.numbers, strict=True)
    return bool(_BETWEEN_UNITS.fullmatch(between)) and all(
        (a is None and b is None)
        or (
            a is not None
            and b is not None
            and abs(a * MM[first.listed.unit] - b * MM[second.listed.unit]) <= SAME_LENGTH_MM
        )
        for a, b in pairs
    )


def _gathered(found: Iterator[_Found]) -> list[Candidate]:
    """One candidate for all lists of one kind with the same numbers; labels that come twice are numbered."""
    together: dict[tuple[str, str, Numbers], list[_Found]] = {}
    for one in found:
        together.setdefault(
            (one.kind, one.listed.unit if one.kind == "length" else "", one.numbers), []
        ).append(one)
    seen: Counter[str] = Counter()
    candidates = []
    for group in together.values():
        first = group[0]
        seen[first.label] += 1
        label = first.label if seen[first.label] == 1 else f"{first.label} {seen[first.label]}"
        spots = tuple(one.spot for one in group)
        candidates.append(Candidate(label, first.kind, first.listed.unit, first.numbers, spots, first.why))
    return candidates


def _related(candidates: Sequence[Candidate]) -> list[Candidate]:
    """Each candidate with how it follows from the nearest earlier one of its kind."""
    related = []
    for place, candidate in enumerate(candidates):
        ways = (_relation(candidate, candidates[other], other) for other in reversed(range(place)))
        related.append(replace(candidate, relation=next((way for way in ways if way), None)))
    return related


def _relation(candidate: Candidate, other: Candidate, place: int) -> Relation | None:
    """Half, double, or the same difference in all sizes; only of lists that differ from size to size."""
    if (candidate.kind, candidate.unit) != (
        other.kind,
        other.unit,
    ) or None in candidate.numbers + other.numbers:
        return None
    ours, theirs = (
        tuple(number for number in one.numbers if number is not None) for one in (candidate, other)
    )
    if len(set(ours)) == 1 or len(set(theirs)) == 1:
        return None
    for factor in (Decimal(2), Decimal("0.5")):
        if all(our == factor * their for our, their in zip(ours, theirs, strict=True)):
            return Relation(place, factor, Decimal(0))
    differences = {our - their for our, their in zip(ours, theirs, strict=True)}
    return Relation(place, Decimal(1), differences.pop()) if len(differences) == 1 else None


def _by_gauge(candidate: Candidate, candidates: Sequence[Candidate], gauge: OlderGauge) -> tuple[str, ...]:
    """What a list of stitches or rows measures at the gauge, and which length of the text that is."""
    if candidate.kind not in {"stitches", "rows"}:
        return ()
    per = gauge.stitches if candidate.kind == "stitches" else gauge.rows
    over, unit = (Decimal(10), "cm") if gauge.over == "10 cm" else (Decimal(4), "in")
    lengths = tuple(None if number is None else number * over / per for number in candidate.numbers)
    shown = ", ".join("–" if length is None else f"{length:.1f}" for length in lengths)
    remarks = [f"at the gauge {shown} {unit}"]
    slack = MM[unit] * over / per + SAME_LENGTH_MM  # one stitch or row, and the rounding of a printed length
    for factor, words in ((1, ""), (Decimal("0.5"), "half of ")):
        remarks += [
            f"that is {words}“{other.label}”"
            for other in candidates
            if other.kind == "length" and _measures(lengths, other, factor, slack, MM[unit])
        ]
    return tuple(remarks)


def _measures(
    lengths: Numbers, other: Candidate, factor: Decimal | int, slack: Decimal, unit_mm: Decimal
) -> bool:
    """Whether lengths are those of another list, times a factor, in every size."""
    pairs = list(zip(lengths, other.numbers, strict=True))
    return all(
        (a is None and b is None)
        or (a is not None and b is not None and abs(a * unit_mm - factor * b * MM[other.unit]) <= slack)
        for a, b in pairs
    )
