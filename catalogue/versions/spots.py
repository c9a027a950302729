"""Places of a pattern that errata and comments name, and whether two records say the same there."""

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from typing import Any, Literal

from catalogue.models import Erratum
from catalogue.versions.changes import TOLERANCE
from catalogue.versions.gaps import are_same_neighbours, compare_gap, gap_words, gaps_of, has_gap, read_gap
from catalogue.versions.records import Record, frozen_record
from catalogue.versions.stitch_methods import (
    read_stitch,
    special_places,
    special_words,
    stitch_text,
    whole_stitch,
    whole_stitches,
)
from catalogue.versions.stitch_rows import (
    PatternRow,
    chart_lines,
    chart_words,
    charted,
    read_row,
    row_text,
    row_words,
    rows_of,
    stitch_entry,
    stitch_places,
)
from grading.core.pattern.parts import label_of
from grading.grid.grid import place_label

# The parts of a pattern as they are printed one after the other.
PRINTED_ORDER = (
    "photo", "materials", "gauge", "values", "schematic", "special_stitches", "stitch_patterns", "sections",
)  # fmt: skip


Presence = Literal["in it", "not in it", "can't tell"]

OTHER_SPOTS = {
    "materials": ("yarns", "yarn_sections", "yarn_allowance", "notions"),
    "gauge": ("fabrics",),
    "schematic": ("pieces",),
    "photo": (),
}
_STEP = re.compile(r"sections\[(\d+)\]\.steps\[(\d+)\]")
_VALUE = re.compile(r"values\.([a-z][a-z0-9_]*)")


def numbered_step(place: str) -> tuple[int, int] | None:
    """Section and step, from nought, of a place that is a step."""
    found = _STEP.fullmatch(place)
    return (int(found.group(1)), int(found.group(2))) if found else None


def named_value(place: str) -> str | None:
    """The name of the value that a place is."""
    found = _VALUE.fullmatch(place)
    return found.group(1) if found else None


def compare_spot(erratum: Erratum, found: Record, record: Record) -> Presence:
    """Compare the place of a mistake in the record it was found in with the same place in another."""
    if named := _VALUE.fullmatch(erratum.place):
        return _compare_value(named.group(1), erratum.sizes, found, record)
    if numbered := _STEP.fullmatch(erratum.place):
        return _compare_text(erratum, _step_at(found, numbered), _steps(found), _steps(record))
    if row := read_row(erratum.place):
        return _compare_row(erratum, row, found, record)
    if stitch := read_stitch(erratum.place):
        whole = whole_stitch(stitch, found)
        return _compare_text(erratum, whole, whole_stitches(found), whole_stitches(record))
    if gap := read_gap(erratum.place):
        return compare_gap(gap, erratum.should_say, found, record)
    if chart := charted(erratum.place):
        return _compare_chart(erratum, chart, found, record)
    if erratum.place == "photo":
        same = found["photos"] == record["photos"]
    else:
        parts = OTHER_SPOTS.get(erratum.place, ())
        same = all(found["pattern"].get(part) == record["pattern"].get(part) for part in parts)
    return "in it" if same else "can't tell"


def _compare_value(name: str, sizes: Iterable[str], found: Record, record: Record) -> Presence:
    """A wrong number stands in a record that has the same number, or none like it, in one of the sizes."""
    wrong, here = _numbers(found, name), _numbers(record, name)
    if not wrong or not here:
        return "can't tell"
    named = list(sizes)
    asked = [size for size in named or wrong if size in wrong and size in here]
    missing = bool(named) and any(wrong[size] is here[size] is None for size in asked)
    same = missing or any(_agree(wrong[size], here[size]) for size in asked)
    return "in it" if same else "not in it"


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


def _compare_row(erratum: Erratum, row: PatternRow, found: Record, record: Record) -> Presence:
    """A row is looked for among those of its stitch pattern; one that has another name can't be told."""
    there = rows_of(row.name, record)
    if not there:
        return "can't tell"
    return _compare_text(erratum, row_text(row, found), rows_of(row.name, found), there)


def _compare_chart(erratum: Erratum, name: str, found: Record, record: Record) -> Presence:
    """A sentence or row that was quoted is looked for in what is printed now; else only sameness tells."""
    if stitch_entry(name, found) == stitch_entry(name, record):
        return "in it"
    before, after = chart_lines(name, found), chart_lines(name, record)
    if not after or not _holds(" ".join(before), erratum.says):
        return "can't tell"
    wrong = next((line for line in before if _holds(line, erratum.says)), None)
    if wrong is None:  # more than a line was quoted
        before, after = [" ".join(before)], [" ".join(after)]
        wrong = before[0]
    return _compare_text(erratum, wrong, before, after)


def _compare_text(erratum: Erratum, wrong: str | None, before: list[str], after: list[str]) -> Presence:
    """A wrong phrase or a whole wrong step stands where the step went, whatever other steps rightly say.

    `before` and `after` are all steps of the record that it was found in and of the other, all rows, or all
    special stitches.
    """
    if wrong is None:
        return "can't tell"
    others = Counter(before)
    others[wrong] -= 1
    became = list((Counter(after) - others).elements())
    if wrong in became:
        return "in it"
    if not became:
        return "not in it"
    if not _holds(wrong, erratum.says):
        return "can't tell"
    holding = [step for step in became if _holds_still(step, erratum)]
    return "in it" if any(_is_nearest(wrong, step, others) for step in holding) else "not in it"


def _holds(step: str, phrase: str) -> bool:
    """Whether a phrase was quoted and stands in a step, however it is spaced."""
    return bool(phrase.strip()) and " ".join(phrase.split()) in " ".join(step.split())


def _holds_still(step: str, erratum: Erratum) -> bool:
    """Whether the wrong phrase stands in a step otherwise than within the right one."""
    wrong, right = (" ".join(words.split()).strip(" .") for words in (erratum.says, erratum.should_say))
    if wrong and wrong != right and wrong in right:
        step = " ".join(step.split()).replace(right, "")
    return _holds(step, erratum.says)


def is_same_spot(erratum: Erratum, found: Record, record: Record) -> bool:
    """Whether the place of an erratum means the same in another record, where steps may have moved."""
    if gap := read_gap(erratum.place):
        is_missing = compare_gap(gap, erratum.should_say, found, record) == "in it"
        return is_missing and are_same_neighbours(gap, found, record)
    if row := read_row(erratum.place):
        here, there = row_text(row, found), row_text(row, record)
    elif numbered := _STEP.fullmatch(erratum.place):
        here, there = _step_at(found, numbered), _step_at(record, numbered)
    else:
        return has_spot(erratum.place, record)
    if here is None or there is None:
        return False
    return here == there or (_holds(here, erratum.says) and _holds(there, erratum.says))


def spot_now(erratum: Erratum, found: Record, record: Record) -> str:
    """The place of an erratum in another record, where steps may have moved; empty where it can't be told."""
    if is_same_spot(erratum, found, record):
        return erratum.place
    if row := read_row(erratum.place):
        texts, said = rows_of(row.name, record), row_text(row, found)
        return PatternRow(row.name, texts.index(said)).place if said and texts.count(said) == 1 else ""
    numbered = _STEP.fullmatch(erratum.place)
    wrong = _step_at(found, numbered) if numbered else None
    same = [
        f"sections[{i}].steps[{j}]"
        for i, section in enumerate(record["words"])
        for j, step in enumerate(section["steps"])
        if wrong is not None and str(step) == wrong
    ]
    return same[0] if len(same) == 1 else ""


def spot_words_now(erratum: Erratum, found: Record, record: Record) -> str:
    """The place of an erratum as a record calls it, or as the one does that it was found in."""
    if now := spot_now(erratum, found, record):
        return spot_words(now, record)
    return f"{spot_words(erratum.place, found)} of version {found['number']}"


def _steps(record: Record) -> list[str]:
    """The words of all steps of a record, as printed."""
    return [str(step) for section in record["words"] for step in section["steps"]]


def _is_nearest(wrong: str, step: str, others: Iterable[str]) -> bool:
    """Whether a step was made of the wrong one rather than of another, as far as their words tell."""
    words = SequenceMatcher(autojunk=False)
    words.set_seq2(step.split())

    def shared(other: str) -> int:
        words.set_seq1(other.split())
        return sum(block.size for block in words.get_matching_blocks())

    most = shared(wrong)
    return all(shared(other) <= most for other in others if other != wrong)


def missing_part(place: str, sizes: Sequence[str], record: Record) -> str | None:
    """What of a place or its sizes a record does not have, in words; None when it has all."""
    unknown = [size for size in sizes if size not in record["results"]["sizes"]]
    if unknown:
        return f"size {unknown[0]}"
    return None if has_spot(place, record) else spot_words(place, record)


def has_spot(place: str, record: Record) -> bool:
    """Whether a record has a place."""
    if numbered := _STEP.fullmatch(place):
        return _step_at(record, numbered) is not None
    if named := _VALUE.fullmatch(place):
        return named.group(1) in record["results"]["values"]
    if gap := read_gap(place):
        return has_gap(gap, record)
    if row := read_row(place):
        return row_text(row, record) is not None
    if chart := charted(place):
        return stitch_entry(chart, record) is not None
    if stitch := read_stitch(place):
        return stitch_text(stitch, record) is not None
    return place in OTHER_SPOTS


def erratum_spots(record: Record) -> list[tuple[str, Any]]:
    """Every place of a record where something is wrong or lacks altogether, in groups."""
    return [*spots_of(record), ("A step is missing", gaps_of(record))]


def spots_of(record: Record) -> list[tuple[str, Any]]:
    """Every place of a record, in groups, in reading order."""
    steps = [
        (f"sections[{i}].steps[{j}]", spot_words(f"sections[{i}].steps[{j}]", record))
        for i, section in enumerate(record["words"])
        for j in range(len(section["steps"]))
    ]
    values = [(f"values.{one['name']}", label_of(one)) for one in record["pattern"].get("values", [])]
    others = [(place, place.capitalize()) for place in OTHER_SPOTS]
    rows = [("Stitch patterns", found)] if (found := list(stitch_places(record))) else []
    special = [("Special stitches", named)] if (named := list(special_places(record))) else []
    return [("Steps", steps), *special, *rows, ("Values", values), ("Elsewhere", others)]


def spot_words(place: str, record: Record) -> str:
    """A place in words, as the record calls it."""
    if numbered := _STEP.fullmatch(place):
        section, step = int(numbered.group(1)), int(numbered.group(2))
        titles: list[Any] = [one["title"] for one in record["words"]]
        title = titles[section] if section < len(titles) else f"Section {section + 1}"
        return f"{title}, step {step + 1}"
    if named := _VALUE.fullmatch(place):
        labels = {value["name"]: label_of(value) for value in record["pattern"].get("values", [])}
        return str(labels.get(named.group(1), named.group(1)))
    if gap := read_gap(place):
        return gap_words(gap, record)
    if row := read_row(place):
        return row_words(row, record)
    if chart := charted(place):
        return chart_words(chart, record)
    if stitch := read_stitch(place):
        return special_words(stitch, record)
    return place.capitalize() if place in OTHER_SPOTS else place_label(record["pattern"], place)


def erratum_words(erratum: Erratum) -> str:
    """One erratum in a line: where it is and what it should say."""
    found = erratum.found_in
    place = spot_words(erratum.place, frozen_record(found.record)) if found else erratum.place
    return f"{place}: {erratum.should_say or erratum.says or erratum.why}"


@dataclass(frozen=True)
class ApplyingErratum:
    """An erratum that applies to a version, and whether its record shows it."""

    erratum: Erratum
    place: str
    standing: Presence


def reading_order(erratum: Erratum) -> tuple[int, list[int], int]:
    """What errata are put in order by for a maker who goes through the pattern from its first page."""
    kind = re.split(r"\W", erratum.place, maxsplit=1)[0]
    known = PRINTED_ORDER.index(kind) if kind in PRINTED_ORDER else len(PRINTED_ORDER)
    return known, [int(number) for number in re.findall(r"\[(\d+)\]", erratum.place)], erratum.pk
