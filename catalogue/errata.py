"""Known mistakes: reported, judged, corrected; and which versions hold them, told from the frozen records."""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any, Literal

from django.db import transaction

from catalogue.changes import TOLERANCE
from catalogue.models import Erratum, ErratumSighting, Pattern, Version
from catalogue.records import Record, read_record

Standing = Literal["in it", "not in it", "can't tell"]

OTHER_PLACES = {
    "materials": ("yarns", "yarn_sections", "yarn_allowance", "notions"),
    "gauge": ("fabrics",),
    "schematic": ("pieces",),
    "photo": (),
}
_STEP = re.compile(r"sections\[(\d+)\]\.steps\[(\d+)\]")
_VALUE = re.compile(r"values\.([a-z][a-z0-9_]*)")


class ErratumRefused(ValueError):
    """Something that can't be done to an erratum; its text is one sentence for the person."""


@dataclass(frozen=True)
class Applying:
    """An erratum that applies to a version, and whether its record shows it."""

    erratum: Erratum
    place: str
    standing: Standing


def report_erratum(
    *,
    pattern: Pattern,
    place: str,
    sizes: Sequence[str] = (),
    says: str = "",
    should_say: str = "",
    why: str = "",
    kind: str = "mistake",
    gravity: str = "wrong",
    found_by: str = "",
    found_in: Version | None = None,
) -> Erratum:
    """Write down a mistake that somebody has met; it is judged later."""
    if found_in is not None:
        _check_place(found_in, place, sizes)
    return Erratum.objects.create(
        pattern=pattern,
        place=place,
        sizes=list(sizes),
        says=says,
        should_say=should_say,
        why=why,
        kind=kind,
        gravity=gravity,
        found_by=found_by,
        found_in=found_in,
    )


def add_sighting(
    *, erratum: Erratum, version: Version | None, found_by: str, note: str = ""
) -> ErratumSighting:
    """Write down that somebody else has met the same mistake."""
    return ErratumSighting.objects.create(erratum=erratum, version=version, found_by=found_by, note=note)


def judge_erratum(*, erratum: Erratum, is_mistake: bool) -> None:
    """Confirm a reported mistake, or say that it is none; a corrected one stays as it is."""
    if erratum.state == "corrected":
        raise ErratumRefused(f"This erratum was corrected in version {erratum.corrected_in}: it stays so.")
    erratum.state = "confirmed" if is_mistake else "dismissed"
    erratum.save(update_fields=("state",))


def correct_erratum(*, erratum: Erratum, version: Version) -> None:
    """Say in which version a mistake was corrected, unless that version's record still shows it."""
    with transaction.atomic():
        if says := why_not_corrected(erratum, version, read_record(version.record)):
            raise ErratumRefused(says)
        erratum.state, erratum.corrected_in = "corrected", version
        erratum.save(update_fields=("state", "corrected_in"))


def why_not_corrected(erratum: Erratum, version: Version, record: Record) -> str | None:
    """Why a version can't be the one that corrects an erratum; None when it can."""
    if version.pattern_id != erratum.pattern_id:
        return "This version is of another pattern: choose a version of the same one."
    if erratum.state == "dismissed":
        return "This was judged to be no mistake: confirm it first."
    if erratum.found_in and _order(version) <= _order(erratum.found_in):
        return f"The mistake was found in version {erratum.found_in.number}: a later version corrects it."
    if standing_in(erratum, record) == "in it":
        return f"Version {version.number} still says the same at {erratum.place}: correct it there first."
    return None


def open_errata(pattern: Pattern) -> list[Erratum]:
    """Mistakes of a pattern that are not yet corrected or dismissed."""
    open_states = ("reported", "confirmed")
    return list(pattern.errata.filter(state__in=open_states).select_related("found_in"))


def errata_of_version(version: Version) -> list[Applying]:
    """The confirmed mistakes that apply to a version, whether or not a later one corrects them."""
    record = read_record(version.record)
    known = version.pattern.errata.filter(state__in=("confirmed", "corrected"))
    applying = []
    for erratum in known.select_related("found_in", "corrected_in"):
        if erratum.corrected_in and _order(version) >= _order(erratum.corrected_in):
            continue
        standing = standing_in(erratum, record)
        if standing != "not in it":
            applying.append(Applying(erratum, place_words(erratum.place, record), standing))
    return applying


def standing_by_version(erratum: Erratum) -> list[tuple[Version, Standing]]:
    """Each version of the pattern with whether its record holds the mistake."""
    return [
        (version, standing_in(erratum, read_record(version.record)))
        for version in erratum.pattern.versions.order_by("major", "minor")
    ]


def errata_table(pattern: Pattern, versions: Sequence[Version]) -> list[dict[str, Any]]:
    """Errata by version: for each erratum its place in words, and whether each version holds it."""
    records = {version.pk: read_record(version.record) for version in versions}
    rows = []
    for erratum in pattern.errata.select_related("found_in", "corrected_in"):
        found = records.get(erratum.found_in_id or 0)
        standings = [
            compare_place(erratum, found, records[one.pk]) if found else "can't tell" for one in versions
        ]
        place = place_words(erratum.place, found) if found else erratum.place
        rows.append({"erratum": erratum, "place": place, "standings": standings})
    return rows


def standing_in(erratum: Erratum, record: Record) -> Standing:
    """Whether a record holds the mistake: compared with the record that it was found in."""
    if erratum.found_in is None:
        return "can't tell"
    return compare_place(erratum, read_record(erratum.found_in.record), record)


def compare_place(erratum: Erratum, found: Record, record: Record) -> Standing:
    """Compare the place of a mistake in the record it was found in with the same place in another."""
    if named := _VALUE.fullmatch(erratum.place):
        return _compare_value(named.group(1), erratum.sizes, found, record)
    if numbered := _STEP.fullmatch(erratum.place):
        return _compare_step(erratum, _step_at(found, numbered), record)
    if erratum.place == "photo":
        same = found["photos"] == record["photos"]
    else:
        parts = OTHER_PLACES.get(erratum.place, ())
        same = all(found["pattern"].get(part) == record["pattern"].get(part) for part in parts)
    return "in it" if same else "can't tell"


def _compare_value(name: str, sizes: Iterable[str], found: Record, record: Record) -> Standing:
    """A wrong number stands in a record that has the same number in one of the sizes."""
    wrong, here = _numbers(found, name), _numbers(record, name)
    if not wrong:
        return "can't tell"
    asked = list(sizes) or list(wrong)
    return "in it" if any(_agree(wrong.get(size), here.get(size)) for size in asked) else "not in it"


def _numbers(record: Record, name: str) -> dict[str, float | None]:
    """The worked numbers of a value by size; empty when there is no such value."""
    value = record["results"]["values"].get(name)
    return dict(zip(record["results"]["sizes"], value["worked"], strict=True)) if value else {}


def _agree(one: float | None, other: float | None) -> bool:
    """Whether two numbers are there and equal."""
    return one is not None and other is not None and abs(one - other) < TOLERANCE


def _step_at(record: Record, numbered: re.Match[str]) -> str | None:
    """The words of a step of a record, as printed."""
    section, step = int(numbered.group(1)), int(numbered.group(2))
    try:
        return str(record["words"][section]["steps"][step])
    except IndexError:
        return None


def _compare_step(erratum: Erratum, wrong: str | None, record: Record) -> Standing:
    """A wrong phrase or a whole wrong step stands wherever the same words stand."""
    if wrong is None:
        return "can't tell"
    steps = [str(step) for section in record["words"] for step in section["steps"]]
    if wrong in steps:
        return "in it"
    phrase = erratum.says.strip()
    if phrase and phrase in wrong:
        return "in it" if any(phrase in step for step in steps) else "not in it"
    return "not in it"


def _order(version: Version) -> tuple[int, int]:
    """What versions are put in order by."""
    return version.major, version.minor


def _check_place(version: Version, place: str, sizes: Sequence[str]) -> None:
    """Refuse a place or size that the version does not have."""
    record = read_record(version.record)
    unknown = [size for size in sizes if size not in record["results"]["sizes"]]
    if unknown:
        raise ErratumRefused(f"Version {version.number} has no size {unknown[0]}: choose from its sizes.")
    numbered, named = _STEP.fullmatch(place), _VALUE.fullmatch(place)
    known = (
        place in OTHER_PLACES
        or (numbered is not None and _step_at(record, numbered) is not None)
        or (named is not None and named.group(1) in record["results"]["values"])
    )
    if not known:
        raise ErratumRefused(f"Version {version.number} has no {place}: choose a place that it has.")


def place_words(place: str, record: Record) -> str:
    """A place in words, as the record calls it."""
    if numbered := _STEP.fullmatch(place):
        section, step = int(numbered.group(1)), int(numbered.group(2))
        titles: list[Any] = [one["title"] for one in record["words"]]
        title = titles[section] if section < len(titles) else f"Section {section + 1}"
        return f"{title}, step {step + 1}"
    if named := _VALUE.fullmatch(place):
        labels = {value["name"]: value["label"] for value in record["pattern"].get("values", [])}
        return str(labels.get(named.group(1), named.group(1)))
    return place.capitalize() if place in OTHER_PLACES else place
