"""How close a visitor likes a garment: as designed, closer, looser, or with an ease of their own."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from catalogue.public.body_terms import GIRTHS, AskedBody, said_length
from grading.core.formula.literals import LENGTH_UNITS_MM
from grading.core.formula.typed_numbers import TypedNumberError, read_typed_number

WAYS = {"": "as designed", "closer": "closer", "looser": "looser"}
# More than any garment has, in mm, to either side; our own choice.
MOST_EASE_MM = 600


@dataclass(frozen=True)
class AskedFit:
    """The fit that is asked for: a way, or an ease in mm with its words; `says` why it can't be read."""

    way: str = ""
    ease_mm: float | None = None
    in_words: str = ""
    says: str = ""


AS_DESIGNED = AskedFit()


def read_fit(way: str, typed: str, units: str) -> AskedFit:
    """Read how close a garment is liked; an ease that is typed counts, in `units` unless it says otherwise.

    >>> read_fit("closer", "", "cm").way, read_fit("", "4 in", "cm").in_words
    ('closer', '4 in (10 cm) of ease')
    >>> read_fit("closer", "-3", "cm").in_words
    '3 cm of negative ease'
    """
    way = way if way in WAYS else ""
    if not typed.strip():
        return AskedFit(way)
    try:
        read = read_typed_number(typed, is_lone=True)
    except TypedNumberError as unread:
        return AskedFit(way, says=f"{unread} Write the ease like 10 or 4 in.")
    unit = read.unit or units
    if unit not in LENGTH_UNITS_MM:
        return AskedFit(way, says=f"“{unit}” is not a unit of length: write the ease in cm or in.")
    ease_mm = float(read.number) * LENGTH_UNITS_MM[unit]
    if abs(ease_mm) > MOST_EASE_MM:
        return AskedFit(way, says="That can’t be an ease: check the number and its unit.")
    words = said_length(abs(float(read.number)), unit, abs(ease_mm))
    return AskedFit("", ease_mm, f"{words} of {'negative ' if ease_mm < 0 else ''}ease")


def fit_form(girth: str, asked: Mapping[str, str], body: AskedBody, fit: AskedFit) -> dict[str, Any] | None:
    """What the form for one's own size shows; None for a pattern whose sizes go by no such girth.

    `asked` is what the address says and the page knows; what is typed here again is left out of what goes on.
    """
    if not girth:
        return None
    own = {name: asked.get(name, "") for name in ("girth", "measures", "fit", "ease")}
    is_of_girth = own["girth"] in ("", girth)
    on = {name: said for name, said in asked.items() if name not in (*own, "size")}
    meant = {**on, **own, "girth": girth, "measures": body.in_inches}
    return {
        "girth": girth,
        "label": GIRTHS[girth][0].lower(),
        "measures": own["measures"] if is_of_girth else "",
        "way": own["fit"],
        "ways": WAYS,
        "ease": own["ease"],
        "body_says": body.says,
        "fit_says": fit.says,
        "in_inches": body.in_inches if is_of_girth else "",
        "meant": urlencode({name: said for name, said in meant.items() if said}),
        "on": on,
    }
