"""A call to place, as a file: read with one clear sentence for what does not fit, and the answer written."""

from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

from grading.core.formula.errors import PatternFileError
from grading.core.pattern.file import load_json, require_single
from grading.core.pattern.schema import require_file_fit, shown_briefly
from testing.placing.placing import Applicant, Placing, SizePlaces, Task

SCHEMA_PATH = Path(__file__).with_name("call.schema.json")
MOST_CHARACTERS = 20_000_000


def read_task(text: str) -> Task:
    """Read the text of a call file; PatternFileError where it does not fit."""
    data = load_json(text, MOST_CHARACTERS)
    require_file_fit(data, SCHEMA_PATH)
    sizes = tuple(data["sizes"])
    require_single((size, f"$.sizes[{i}]") for i, size in enumerate(sizes))
    require_single((place["size"], f"$.places[{i}].size") for i, place in enumerate(data["places"]))
    require_single((typed["name"], f"$.applicants[{i}].name") for i, typed in enumerate(data["applicants"]))
    body = {name: _length_per_size(f"$.body.{name}", cm, sizes) for name, cm in data["body"].items()}
    places = tuple(_size_places(f"$.places[{i}]", typed, sizes) for i, typed in enumerate(data["places"]))
    applicants = tuple(
        _applicant(f"$.applicants[{i}]", typed, sizes, body) for i, typed in enumerate(data["applicants"])
    )
    _require_places_for_pins(applicants, places)
    return Task(sizes, body, places, applicants, int(data.get("seed", 0)))


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


def _length_per_size(path: str, lengths_cm: list[float], sizes: tuple[str, ...]) -> tuple[float, ...]:
    """The lengths of a measurement, one for each size."""
    if len(lengths_cm) != len(sizes):
        reason = f"Give one number for each of the {len(sizes)} sizes; here are {len(lengths_cm)}."
        raise PatternFileError(path, reason)
    return tuple(float(length_cm) for length_cm in lengths_cm)


def _size_places(path: str, typed: Mapping[str, Any], sizes: tuple[str, ...]) -> SizePlaces:
    """How many testers a size needs and takes."""
    _require_sizes([(typed["size"], f"{path}.size")], sizes)
    places = SizePlaces(typed["size"], int(typed["at_least"]), int(typed["at_most"]))
    if places.at_least > places.at_most:
        reason = f"At most {places.at_most} is fewer than at least {places.at_least}."
        raise PatternFileError(f"{path}.at_most", reason)
    return places


def _applicant(
    path: str, typed: Mapping[str, Any], sizes: tuple[str, ...], measurements: Iterable[str]
) -> Applicant:
    """Somebody who applies, with the measurements that the call goes by."""
    wishes = [(size, f"{path}.sizes[{i}]") for i, size in enumerate(typed["sizes"])]
    _require_sizes(wishes, sizes)
    require_single(wishes)
    pinned = typed.get("pinned")
    if pinned is not None:
        _require_sizes([(pinned, f"{path}.pinned")], sizes)
    body_cm = {}
    for name in measurements:
        if name not in typed["body"]:
            raise PatternFileError(f"{path}.body", f"The measurement “{name}” is missing.")
        require_file_fit(typed["body"][name], SCHEMA_PATH, "length", f"{path}.body.{name}")
        body_cm[name] = float(typed["body"][name])
    experience = int(typed["experience"])
    return Applicant(typed["name"], body_cm, tuple(typed["sizes"]), experience, pinned or "")


def _require_sizes(named: Iterable[tuple[Any, str]], sizes: tuple[str, ...]) -> None:
    """Refuse what is not one of the call's sizes."""
    for size, path in named:
        if size not in sizes:
            raise PatternFileError(path, f"{shown_briefly(size)} is not one of the call's sizes.")


def _require_places_for_pins(applicants: Iterable[Applicant], places: Iterable[SizePlaces]) -> None:
    """Refuse more pins than a size takes."""
    left = {place.size: place.at_most for place in places}
    for i, applicant in enumerate(applicants):
        if applicant.pinned:
            if not left.get(applicant.pinned, 0):
                reason = f"Size {applicant.pinned} has no place left for this pin."
                raise PatternFileError(f"$.applicants[{i}].pinned", reason)
            left[applicant.pinned] -= 1
