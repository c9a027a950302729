"""What testers are asked about the fit, by area: only what their garment has."""

import re
from collections.abc import Sequence

from grading.core.pattern.pattern import BodyEntry, PieceEntry, ValueEntry
from testing.asked.figures import Figures

AREAS = {
    "bust": "Bust",
    "upper_arm": "Upper arm",
    "waist": "Waist",
    "hip": "Hip",
    "neck": "Neck",
    "round": "Round",
    "length": "Length",
}
FITS = {"tight": "too tight", "right": "right", "loose": "too loose"}
LENGTHS = {"tight": "too short", "right": "right", "loose": "too long"}
WEARERS = {"me": "Me", "other": "Someone else"}

# Words that tell what a garment has, in the names of its finished measurements and pieces; our own choice.
_TORSO = re.compile(r"chest|bust|yoke|armhole|underarm|shoulder|raglan|across.(?:back|chest)|cross.?back")
_PARTS = re.compile(r"\b(?:body|back|front)\b")
_WAIST = re.compile(r"\bwaist(?!coat)")
_LEGS_AND_HIPS = re.compile(r"\bskirts?\b|\bhips?\b|\blegs?\b|inseam|crotch|thigh|trousers|shorts")
_SLEEVES = re.compile(r"sleeve|upper.?arm|wrist|cuff")
_ROUND = re.compile(r"girth|round|head|\bhats?\b|brim|hand|palm|thumb|mitten|glove|foot|sock|ankle|calf")


def fit_words(area: str) -> dict[str, str]:
    """The answers for an area; a length is short or long."""
    return LENGTHS if area == "length" else FITS


def fit_areas(garment: Figures) -> dict[str, str]:
    """The areas that a garment has, by its finished measurements and pieces, else by its sizes' bodies.

    What is worn on the upper body is asked about at hip and neck too, also where no tape is laid there.
    """
    named = _words([*garment.measurements, *garment.pieces])
    body = _words(garment.body)
    has = {"length"} | _areas_on_the_body(named or body, body)
    if has == {"length"} and _ROUND.search(named or body):
        has.add("round")
    return {name: label for name, label in AREAS.items() if name in has}


def _areas_on_the_body(named: str, body: str) -> set[str]:
    """The areas of what is worn from neck to leg; none for hats, mittens, shawls and blankets."""
    has = set()
    if _is_upper(named, body):
        has |= {"bust", "hip", "neck"} | ({"upper_arm"} if _SLEEVES.search(named) else set())
    if _LEGS_AND_HIPS.search(named):
        has.add("hip")
    if _WAIST.search(named):
        has |= {"waist", "hip"}
    return has


def _is_upper(named: str, body: str) -> bool:
    """Whether it goes round the chest: it says so, or has a back or front for bodies that have a chest."""
    if _TORSO.search(named):
        return True
    elsewhere = any(words.search(named) for words in (_WAIST, _LEGS_AND_HIPS, _ROUND))
    return bool(_PARTS.search(named) and _TORSO.search(body)) and not elsewhere


def _words(named: Sequence[ValueEntry | PieceEntry | BodyEntry]) -> str:
    """Names and labels, as words to look in."""
    return " ".join(f"{one.name.replace('_', ' ')} {one.label}".lower() for one in named)
