"""Cautions that every edition carries where they are due.

Source: EN 14682 (cords and drawstrings on children's clothing) for what to watch; the wording is our own.
"""

import re
from typing import Any

from grading.core.grade.cautions import is_under_three
from grading.core.pattern.wordings import FIRST_WORDING, NEWEST_WORDING, WIDE_WORDING
from grading.core.printing.wording import listed

SMALL_PARTS = ("buttons", "small parts")
CORDS = ("cords", "ties")
# Words that tell that the steps warn of a danger themselves.
_SAID_OF_CORDS = re.compile(r"\bstrang(?:le|les|ling|ulation)\b", re.IGNORECASE)
_SAID_OF_SMALL_PARTS = re.compile(r"\bchok(?:e|es|ing)\b", re.IGNORECASE)


def cautions_for(document: dict[str, Any], wording: int = NEWEST_WORDING) -> list[str]:
    """The cautions of a pattern, one paragraph each; what its own steps warn of does not stand twice."""
    if wording == FIRST_WORDING:
        return _first_cautions(document)
    hazards = document.get("hazards") or []
    said = " ".join(step for section in document.get("sections", []) for step in section["steps"])
    cautions = []
    if document.get("wearer") in ("child", "baby") and hazards:
        if any(hazard in CORDS for hazard in hazards) and not _SAID_OF_CORDS.search(said):
            cautions.append(
                "Cords and ties can strangle. Never put a cord in a hood or at a neck, never make ties "
                "longer than the pattern says, and leave them out for small children."
            )
        if any(hazard in SMALL_PARTS for hazard in hazards) and not _SAID_OF_SMALL_PARTS.search(said):
            cautions.append(_small_parts(document, wording))
        cautions.append(
            "Safety rules for children’s clothing differ from country to country. Check those that apply "
            "where you live before you give or sell what you have made."
        )
    if "loose blanket" in hazards:
        bed = "cot or crib" if wording > WIDE_WORDING else "cot"
        cautions.append(f"Never leave a loose blanket in a {bed} with a sleeping baby.")
    return [
        *cautions,
        "Yarn amounts are calculated, not weighed: buy enough of one dye lot, and keep the labels.",
        "Long hours of handwork tire hands and shoulders: rest often, and stop when something hurts.",
    ]


def _small_parts(document: dict[str, Any], wording: int) -> str:
    """The caution for small parts, which names the sizes that are too young for them."""
    parts = "buttons" if "buttons" in (document.get("hazards") or []) else "small parts"
    sizes = [str(size) for size in document.get("sizes", [])]
    young = [size for size in sizes if is_under_three(size)]
    told = (
        "Small parts can come off and choke. Sew them on so that they cannot be pulled off, check them often"
    )
    if sizes and not young:
        return f"{told}, and keep the garment from children under 3 years."
    if not young or len(young) == len(sizes):
        return f"{told}, and use no {parts} for children under 3 years."
    is_one = len(young) == 1
    if wording > WIDE_WORDING:
        told = told.replace(", check", ", and check")
    return (
        f"{told}. Size{'' if is_one else 's'} {listed(young)} {'is' if is_one else 'are'} for children under "
        f"3 years: use no {parts} {'for it' if is_one else 'for them'}."
    )


def _first_cautions(document: dict[str, Any]) -> list[str]:
    """The cautions of the first wording. Never to be changed: records are printed in it."""
    hazards = document.get("hazards") or []
    is_small = document.get("wearer") in ("child", "baby")
    cautions = []
    if is_small and any(hazard in CORDS for hazard in hazards):
        cautions.append(
            "Cords and ties can strangle. Never put a cord in a hood or at a neck, never make the ties "
            "longer than written, and leave them out for small children."
        )
    if is_small and any(hazard in SMALL_PARTS for hazard in hazards):
        cautions.append(
            "Small parts can come off and choke. Sew buttons and trims on so that they cannot be pulled off, "
            "check them often, and use none for children under 3 years."
        )
    if is_small and hazards:
        cautions.append(
            "Safety rules for children's clothing differ from country to country. Check those that hold "
            "where you live before you give or sell what you have made."
        )
    if "loose blanket" in hazards:
        cautions.append("Never leave a loose blanket in a cot with a sleeping baby.")
    cautions.append(
        "Yarn amounts are calculated, not weighed: buy enough of one dye lot, and keep the labels."
    )
    cautions.append(
        "Long hours of handwork tire hands and shoulders: rest often, and stop when something hurts."
    )
    return cautions
