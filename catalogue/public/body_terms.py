"""Finding patterns by a measurement of one's own body."""

import math
import re
from collections.abc import Iterator
from dataclasses import dataclass

from grading.core.formula.literals import LENGTH_UNITS_MM
from grading.core.formula.typed_numbers import TypedNumberError, read_typed_number
from grading.core.pattern.pattern import PatternFile
from grading.core.printing.numbers import half_up, print_inches

# Measurements that a garment is found by, with the names that patterns give them.
GIRTHS = {
    "bust": ("Bust or chest", re.compile(r"(bust|chest)(_girth|_round)?")),
    "waist": ("Waist", re.compile(r"waist(_girth|_round)?")),
    "hip": ("Hip", re.compile(r"hips?(_girth|_round)?")),
    "head": ("Head", re.compile(r"head(_girth|_round)?")),
    "hand": ("Hand", re.compile(r"hand(_girth|_round)?")),
    "foot": ("Foot", re.compile(r"foot(_girth|_round)?")),
}
# How far beyond the smallest and the largest size a body still finds its pattern: a twentieth. At a bust of
# 100 cm that is the 5 cm from size to size of the trade's charts; common practice.
BEYOND = 0.05
LONGEST_MM = 2_500.0
# Below this a number without a unit may be meant in inches: that is asked, not decided. Our own choice.
MEANT_IN_INCHES_MM = {"bust": 600, "waist": 600, "hip": 600, "head": 300, "hand": 110, "foot": 120}
MM_PER_CM = 10


@dataclass(frozen=True)
class AskedBody:
    """A measurement as asked for: the mark that patterns for it carry, or why it can't be read.

    `in_words` is what was read, as “bust or chest of 96 cm” or “of 38 in (96.5 cm)”; `in_inches` what to type
    if inches are meant; `units` those to answer in, empty where none were said.
    """

    mark: str = ""
    says: str = ""
    girth: str = ""
    length_mm: float = 0.0
    in_words: str = ""
    in_inches: str = ""
    units: str = ""


def body_marks(core: PatternFile) -> Iterator[str]:
    """The marks of a pattern: one for each whole centimetre of the bodies that its sizes serve."""
    for entry in core.body:
        girth = girth_named(entry.name) or girth_named(entry.label.casefold().replace(" ", "_"))
        known = [mm for mm in entry.entries if mm is not None and math.isfinite(mm)]
        if girth and known:
            low, high = min(known) * (1 - BEYOND), min(max(known) * (1 + BEYOND), LONGEST_MM)
            for cm in range(math.ceil(low / MM_PER_CM), math.floor(high / MM_PER_CM) + 1):
                yield f"body {girth} {cm}"


def girth_named(name: str) -> str:
    """Which girth a body measurement is, by its name or its label; empty for others.

    >>> girth_named("chest_girth"), girth_named("back_waist")
    ('bust', '')
    """
    return next((girth for girth, (_, names) in GIRTHS.items() if names.fullmatch(name)), "")


def read_body(girth: str, typed: str) -> AskedBody:
    """Read a measurement, in cm unless it says otherwise; nothing is asked where nothing was typed.

    >>> read_body("bust", "38 in").mark, read_body("bust", "97").mark, read_body("hip", "").mark
    ('body bust 97', 'body bust 97', '')
    """
    if not typed.strip():
        return AskedBody()
    try:
        read = read_typed_number(typed, is_lone=True)
    except TypedNumberError as unread:
        return AskedBody(says=f"{unread} Write it like 96 or 38 in.")
    factor = LENGTH_UNITS_MM.get(read.unit or "cm")
    if factor is None:
        return AskedBody(says=f"“{read.unit}” is not a unit of length: write cm or in.")
    length_mm = float(read.number) * factor
    if not 0 < length_mm <= LONGEST_MM:
        return AskedBody(says="That can’t be a body measurement: check the number and its unit.")
    known = girth if girth in GIRTHS else "bust"
    return AskedBody(
        mark=f"body {known} {round(length_mm / MM_PER_CM)}",
        girth=known,
        length_mm=length_mm,
        in_words=f"{GIRTHS[known][0].lower()} of {said_length(float(read.number), read.unit, length_mm)}",
        units=read.unit if read.unit in ("cm", "in") else "",
        in_inches=f"{typed.strip()} in" if not read.unit and length_mm < MEANT_IN_INCHES_MM[known] else "",
    )


def said_length(number: float, unit: str | None, length_mm: float) -> str:
    """A measurement as it was said, in another unit than cm with its centimetres to the half.

    >>> said_length(40.25, "in", 40.25 * 25.4), said_length(40.3, "in", 40.3 * 25.4)
    ('40¼ in (102 cm)', '40.3 in (102.5 cm)')
    """
    if unit in (None, "", "cm"):
        return f"{round(length_mm / MM_PER_CM, 2):g} cm"
    said = print_inches(length_mm) if unit == "in" and (number * 4).is_integer() else f"{round(number, 2):g}"
    return f"{said} {unit} ({half_up(length_mm / MM_PER_CM, 0.5):g} cm)"
