"""Cautions that every edition carries where they are due.

Source: EN 14682 (cords and drawstrings on children's clothing) for what to watch; the wording is our own.
"""

from typing import Any

SMALL_PARTS = ("buttons", "small parts")
CORDS = ("cords", "ties")


def cautions_for(document: dict[str, Any]) -> list[str]:
    """The cautions of a pattern, one paragraph each."""
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
