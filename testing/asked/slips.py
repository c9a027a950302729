"""Likely slips of a tape measure: asked about at once, never refused; pure."""

from dataclasses import dataclass

from grading.core.formula.literals import MM_PER_INCH

# How near a slip must bring the entry to what is expected before it is asked about, and how far off
# the entry itself must be; common practice of reading a tape, not of any standard.
NEAR = 0.10
FLAT_NEAR = 0.20  # a width lies less even than a girth is measured: half, and a fifth more or less
FAR = 0.20
NEIGHBOUR_NEAR = 0.04

QUESTIONS = {
    "flat": "Did you measure it lying flat?",
    "doubled": "Did you double it?",
    "inches": "Did you read inches?",
    "centimetres": "Did you read centimetres?",
    "point": "Is the decimal point in the right place?",
    "no_point": "Is the decimal point in the right place?",
}


@dataclass(frozen=True)
class EntrySlip:
    """What an entry looks like, and what it would then mean."""

    looks_like: str
    would_be_mm: float
    neighbour: str = ""

    @property
    def question(self) -> str:
        """What its maker is asked.

        >>> EntrySlip("inches", 1022.35).question
        'Did you read inches?'
        """
        return QUESTIONS.get(self.looks_like, f"Is this “{self.neighbour}”?")


def likely_slip(
    measured_mm: float,
    expected_mm: float,
    *,
    around: bool,
    neighbours: dict[str, float] | None = None,
    unit: str = "",
) -> EntrySlip | None:
    """Say whether an entry looks like inches, a lost point, a width laid flat, or the next line.

    Args:
        measured_mm: What was entered.
        expected_mm: What the pattern gives at the tester's gauge.
        around: Whether the measurement goes round the body.
        neighbours: Expected mm of the other measurements, by label.
        unit: The unit that the number was taken for, "cm" or "in"; the other one may have been read, even
            where a unit is written: it may be of the page and not of the tape. Empty where none is known.

    >>> likely_slip(470, 960, around=True)
    EntrySlip(looks_like='flat', would_be_mm=940, neighbour='')
    >>> likely_slip(380, 960, around=True, unit="cm").looks_like
    'inches'
    """
    if expected_mm <= 0 or _off(measured_mm, expected_mm) < FAR:
        return None
    candidates = {
        "cm": [EntrySlip("inches", measured_mm * MM_PER_INCH / 10)],
        "in": [EntrySlip("centimetres", measured_mm * 10 / MM_PER_INCH)],
    }.get(unit, [])
    candidates += [EntrySlip("point", measured_mm * 10), EntrySlip("no_point", measured_mm / 10)]
    if around:
        candidates += [EntrySlip("flat", measured_mm * 2), EntrySlip("doubled", measured_mm / 2)]
    near = [slip for slip in candidates if _off(slip.would_be_mm, expected_mm) <= _near(slip)]
    if near:
        return min(near, key=lambda slip: _off(slip.would_be_mm, expected_mm))
    for label, length_mm in (neighbours or {}).items():
        if length_mm > 0 and _off(measured_mm, length_mm) <= NEIGHBOUR_NEAR:
            return EntrySlip("neighbour", measured_mm, label)
    return None


def _near(slip: EntrySlip) -> float:
    """How near a slip must bring the entry."""
    return FLAT_NEAR if slip.looks_like == "flat" else NEAR


def _off(length_mm: float, wanted_mm: float) -> float:
    """How far a length is from another, as a share of it."""
    return abs(length_mm - wanted_mm) / wanted_mm
