"""A call to place, as a file: read with one clear sentence for what does not fit, and the answer written."""

import json
import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from testing.placing.placing import Applicant, Placing, SizePlaces, Task

MOST_CHARACTERS = 20_000_000
MOST_SIZES, MOST_MEASUREMENTS, MOST_APPLICANTS, MOST_PLACES = 40, 30, 20_000, 10_000
MOST_CM = 1_000
MOST_EXPERIENCE = 3
MOST_SEED = 2**63
_LONGEST = 200


@dataclass
class CallFileError(Exception):
    """A call file that does not fit: JSON path of the place and the reason, one sentence."""

    path: str
    reason: str

    def __str__(self) -> str:
        return f"{self.path}: {self.reason}"


def read_task(text: str) -> Task:
    """Read the text of a call file."""
    if len(text) > MOST_CHARACTERS:
        raise CallFileError("$", f"The file is longer than {MOST_CHARACTERS:,} characters.")
    try:
        data = json.loads(text, parse_constant=_refuse_constant, object_pairs_hook=_without_repeats)
    except json.JSONDecodeError as error:
        raise CallFileError(
            "$", f"This is not JSON: {error.msg} (line {error.lineno}, column {error.colno})."
        )
    except RecursionError:
        raise CallFileError("$", "The file is nested too deeply.")
    except ValueError as error:  # a number too long to be read
        raise CallFileError("$", f"A number can't be read: {str(error).split(';')[0]}.")
    return task_of(data)


def task_of(data: Any) -> Task:
    """Read a call from what its JSON holds."""
    _keys("$", data, required=("sizes", "body", "places", "applicants"), optional=("seed",))
    sizes = _texts("$.sizes", data["sizes"], most=MOST_SIZES)
    if not sizes:
        raise CallFileError("$.sizes", "A call has at least one size.")
    body = _body(data["body"], sizes)
    places = _places(data["places"], sizes)
    rows = _rows("$.applicants", data["applicants"], MOST_APPLICANTS)
    people = tuple(_applicant(f"$.applicants[{i}]", one, sizes, tuple(body)) for i, one in enumerate(rows))
    _refuse_repeats(((f"$.applicants[{i}].name", one.key) for i, one in enumerate(people)))
    _check_pins(people, places)
    seed = _whole("$.seed", data.get("seed", 0), -MOST_SEED, MOST_SEED)
    return Task(sizes, body, places, people, seed)


def placing_json(placing: Placing) -> dict[str, Any]:
    """The answer as it is written."""
    return {
        "placed": placing.placed,
        "waiting": placing.waiting,
        "filled_at_least": placing.filled_at_least,
        "filled": placing.filled,
        "cost": round(float(placing.cost_cm), 9),
        "reasons": placing.reasons,
        "seed": placing.seed,
    }


def _body(given: Any, sizes: tuple[str, ...]) -> dict[str, tuple[float, ...]]:
    """One length per size for each measurement."""
    if not isinstance(given, dict) or len(given) > MOST_MEASUREMENTS:
        raise CallFileError("$.body", f"Give at most {MOST_MEASUREMENTS} measurements by name.")
    body = {}
    for name, numbers in given.items():
        path = f"$.body.{name}"
        listed = _rows(path, numbers, MOST_SIZES)
        if len(listed) != len(sizes):
            raise CallFileError(
                path, f"Give one number for each of the {len(sizes)} sizes; here are {len(listed)}."
            )
        body[name] = tuple(_length(f"{path}[{i}]", number) for i, number in enumerate(listed))
    return body


def _places(given: Any, sizes: tuple[str, ...]) -> tuple[SizePlaces, ...]:
    """How many testers the sizes need and take."""
    rows = _rows("$.places", given, MOST_SIZES)
    places = tuple(_place(f"$.places[{i}]", row, sizes) for i, row in enumerate(rows))
    _refuse_repeats((f"$.places[{i}].size", place.size) for i, place in enumerate(places))
    return places


def _place(path: str, given: Any, sizes: tuple[str, ...]) -> SizePlaces:
    """The places of one size."""
    _keys(path, given, required=("size", "at_least", "at_most"))
    place = SizePlaces(
        _size(f"{path}.size", given["size"], sizes),
        _whole(f"{path}.at_least", given["at_least"], 0, MOST_PLACES),
        _whole(f"{path}.at_most", given["at_most"], 0, MOST_PLACES),
    )
    if place.at_least > place.at_most:
        raise CallFileError(
            f"{path}.at_most", f"At most {place.at_most} is fewer than at least {place.at_least}."
        )
    return place


def _applicant(path: str, given: Any, sizes: tuple[str, ...], asked: tuple[str, ...]) -> Applicant:
    """Somebody who applies."""
    _keys(path, given, required=("name", "body", "sizes", "experience"), optional=("pinned",))
    body = given["body"]
    if not isinstance(body, dict):
        raise CallFileError(f"{path}.body", "Give the measurements by name, in cm.")
    missing = [name for name in asked if name not in body]
    if missing:
        raise CallFileError(f"{path}.body", f"The measurement “{missing[0]}” is missing.")
    wishes = _texts(f"{path}.sizes", given["sizes"], most=MOST_SIZES)
    pinned = given.get("pinned")
    return Applicant(
        key=_text(f"{path}.name", given["name"]),
        body_cm={name: _length(f"{path}.body.{name}", body[name]) for name in asked},
        wishes=tuple(_size(f"{path}.sizes[{i}]", wish, sizes) for i, wish in enumerate(wishes)),
        experience=_whole(f"{path}.experience", given["experience"], 0, MOST_EXPERIENCE),
        pinned="" if pinned is None else _size(f"{path}.pinned", pinned, sizes),
    )


def _check_pins(people: tuple[Applicant, ...], places: tuple[SizePlaces, ...]) -> None:
    """Refuse more pins than a size takes."""
    left = {place.size: place.at_most for place in places}
    for i, one in enumerate(people):
        if one.pinned:
            if not left.get(one.pinned, 0):
                reason = f"Size {one.pinned} has no place left for this pin."
                raise CallFileError(f"$.applicants[{i}].pinned", reason)
            left[one.pinned] -= 1


def _keys(path: str, given: Any, *, required: tuple[str, ...], optional: tuple[str, ...] = ()) -> None:
    """Refuse what is no object, lacks a part or has one that nobody knows."""
    if not isinstance(given, dict):
        raise CallFileError(path, "This must be an object with " + ", ".join(required) + ".")
    if missing := [name for name in required if name not in given]:
        raise CallFileError(path, f"The part “{missing[0]}” is missing.")
    if unknown := [name for name in given if name not in required + optional]:
        raise CallFileError(path, f"The part “{unknown[0]}” is not known here.")


def _rows(path: str, given: Any, most: int) -> list[Any]:
    """A list of bounded length."""
    if not isinstance(given, list):
        raise CallFileError(path, "This must be a list.")
    if len(given) > most:
        raise CallFileError(path, f"At most {most:,} entries are taken; here are {len(given):,}.")
    return given


def _texts(path: str, given: Any, *, most: int) -> tuple[str, ...]:
    """A list of different texts."""
    texts = tuple(_text(f"{path}[{i}]", text) for i, text in enumerate(_rows(path, given, most)))
    _refuse_repeats((f"{path}[{i}]", text) for i, text in enumerate(texts))
    return texts


def _text(path: str, given: Any) -> str:
    """A text with something in it."""
    if not isinstance(given, str) or not given.strip() or len(given) > _LONGEST:
        raise CallFileError(path, f"This must be a text of 1 to {_LONGEST} characters.")
    if any(0xD800 <= ord(character) < 0xE000 for character in given):
        raise CallFileError(path, "This text holds half a character.")
    return given


def _size(path: str, given: Any, sizes: tuple[str, ...]) -> str:
    """One of the call's sizes."""
    if given not in sizes:
        shown = given if isinstance(given, str) else json.dumps(given)
        raise CallFileError(path, f"“{shown[:40]}” is not one of the call's sizes.")
    return str(given)


def _whole(path: str, given: Any, least: int, most: int) -> int:
    """A whole number within bounds."""
    if isinstance(given, bool) or not isinstance(given, int) or not least <= given <= most:
        raise CallFileError(path, f"This must be a whole number from {least:,} to {most:,}.")
    return given


def _length(path: str, given: Any) -> float:
    """A length in cm."""
    if isinstance(given, bool) or not isinstance(given, int | float) or not 0 < given < MOST_CM:
        raise CallFileError(path, f"This must be a length in cm above 0 and below {MOST_CM:,}.")
    if not math.isfinite(given):
        raise CallFileError(path, "This must be a finite number.")
    return float(given)


def _refuse_repeats(named: Iterable[tuple[str, str]]) -> None:
    """Refuse a name that was given before."""
    seen = set()
    for path, name in named:
        if name in seen:
            raise CallFileError(path, f"“{name}” was given before.")
        seen.add(name)


def _without_repeats(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """An object in which no part comes twice."""
    found: dict[str, Any] = {}
    for name, value in pairs:
        if name in found:
            raise CallFileError("$", f"The part “{name[:40]}” comes twice in one object.")
        found[name] = value
    return found


def _refuse_constant(name: str) -> None:
    """JSON has no word for what is no number."""
    raise CallFileError("$", f"{name} is not a number.")
