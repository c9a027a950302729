"""What testers are asked about the fit, by area: only what their garment has."""

import re
from collections.abc import Sequence

from grading.core.pattern.pattern import ValueEntry

AREAS = {
    "bust": "Bust",
    "upper_arm": "Upper arm",
    "hip": "Hip",
    "neck": "Neck",
    "round": "Round",
    "length": "Length",
}
FITS = {"tight": "too tight", "right": "right", "loose": "too loose"}
LENGTHS = {"tight": "too short", "right": "right", "loose": "too long"}
WEARERS = {"me": "Me", "other": "Someone else"}

# Words in the names of finished measurements that tell what a garment has.
_TORSO = re.compile(r"chest|bust|waist|hip|body|yoke|back|front")
_SLEEVES = re.compile(r"sleeve|upper.?arm|wrist|cuff")
_ROUND = re.compile(r"girth|round|head|hand|foot|circumference")


def fit_words(area: str) -> dict[str, str]:
    """The answers for an area; a length is short or long."""
    return LENGTHS if area == "length" else FITS


def fit_areas(measurements: Sequence[ValueEntry]) -> dict[str, str]:
    """The areas that a garment has, by its finished measurements; all of them where it has none to tell by.

    What is worn on the body is asked about at bust, hip and neck too, also where no tape is laid there.
    """
    named = " ".join(f"{value.name} {value.label}".lower() for value in measurements)
    if not named:
        return {name: label for name, label in AREAS.items() if name != "round"}
    has = {"length"}
    if _TORSO.search(named):
        has |= {"bust", "hip", "neck"} | ({"upper_arm"} if _SLEEVES.search(named) else set())
    elif _ROUND.search(named):
        has.add("round")
    return {name: label for name, label in AREAS.items() if name in has}
