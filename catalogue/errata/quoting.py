"""What a version says at a spot, to quote it; and why words that are not there can't be what it says."""

import re
from collections.abc import Iterator, Sequence
from itertools import product
from math import nan
from typing import cast

from catalogue.versions.freezing import step_text
from catalogue.versions.gaps import read_gap
from catalogue.versions.records import Record
from catalogue.versions.spots import missing_part, named_value, numbered_step, spot_words
from catalogue.versions.step_changes import facts_of_record
from catalogue.versions.stitch_methods import read_stitch, stitch_text
from catalogue.versions.stitch_rows import chart_lines, charted, read_row, row_text
from grading.core.instructions.steps import render_step
from grading.core.printing.edition import PrintForm, Terms, Units
from grading.core.printing.measures import printed_lists
from grading.core.printing.numbers import number_list

UNITS: tuple[Units, ...] = ("cm", "in", "both")
TERMS: tuple[Terms, ...] = ("US", "UK")
_NUMBER = re.compile(r"\d+(?:\.\d+)?[¼½¾]?|[¼½¾]")
_QUOTES = "“”„\"'‘’ "


def says_there(place: str, record: Record, size: str = "") -> str:
    """What a version prints at a step or for a value, for one size or all; empty for other spots."""
    if missing_part(place, [size] if size else [], record):
        return ""
    if at := numbered_step(place):
        if not size:
            return _frozen_step(record, at)
        return next(_printed_steps(record, at, [size], (_home(record),)), "")
    if row := read_row(place):
        return row_text(row, record) or ""
    if stitch := read_stitch(place):
        return stitch_text(stitch, record) or ""
    if chart := charted(place):
        return "\n".join(chart_lines(chart, record))
    name = named_value(place)
    return _value_line(name, record, size) if name in record["results"]["values"] else ""


def why_not_quoted(place: str, sizes: Sequence[str], says: str, record: Record) -> str | None:
    """Why words can't be what a version says at a spot; None where they can.

    A step, a special stitch, a stitch pattern or a row of it must have the words. Of a value every number
    must be one that it has. Other spots are not read, nor those that the version does not have: that is
    refused where the place is looked at.
    """
    if missing_part(place, sizes, record):
        return None
    words = _plain(says)
    if not words or words in _plain(says_there(place, record)):
        return None
    if read_gap(place):
        return "A missing step has no words there. Leave this empty, or choose the step itself."
    where = f"version {record['number']} does not say this in {spot_words(place, record)}"
    if at := numbered_step(place):
        typed = record["pattern"]["sections"][at[0]]["steps"][at[1]]
        if words in _plain(typed) or any(words in _plain(text) for text in _of_sizes(record, at, sizes)):
            return None
        return f"{where[0].upper()}{where[1:]}. Copy the wrong words exactly, and leave out what is right."
    if read_row(place) or read_stitch(place) or charted(place):
        if any(words in _plain(text) for text in _of_terms(record, says_there(place, record))):
            return None
        return f"{where[0].upper()}{where[1:]}. Copy the wrong words exactly, and leave out what is right."
    name = named_value(place)
    if name is None or name not in record["results"]["values"]:
        return None
    known = _numbers_of(name, record, sizes)
    odd = next((number for number in _NUMBER.findall(words) if number not in known), None)
    return odd and f"{where[0].upper()}{where[1:]}: it has no {odd}. Copy the numbers exactly."


def says_around(place: str, record: Record) -> dict[str, str]:
    """The steps before and after the place of one that is missing; empty for other spots."""
    gap = read_gap(place)
    if gap is None:
        return {}
    before = _frozen_step(record, (gap.section, gap.after)) if gap.after >= 0 else ""
    return {"quoted_before": before, "quoted_after": _frozen_step(record, (gap.section, gap.after + 1))}


def _plain(text: str) -> str:
    """Words without what quoting and lines add to them."""
    return " ".join(text.casefold().split()).strip(_QUOTES)


def _home(record: Record) -> Units:
    """The units of the pattern."""
    return cast("Units", record["pattern"]["home_units"])


def _frozen_step(record: Record, at: tuple[int, int]) -> str:
    """A step as frozen, for all sizes."""
    try:
        return str(record["words"][at[0]]["steps"][at[1]])
    except IndexError:
        return ""


def _of_sizes(record: Record, at: tuple[int, int], sizes: Sequence[str]) -> Iterator[str]:
    """A step as every edition prints it: for all sizes or one, in all units and both terms."""
    return _printed_steps(record, at, [None, *(sizes or record["results"]["sizes"])], UNITS, TERMS)


def _printed_steps(
    record: Record,
    at: tuple[int, int],
    sizes: Sequence[str | None],
    units: Sequence[Units],
    terms: Sequence[Terms] = (),
) -> Iterator[str]:
    """A step as printed for each of some sizes, in the pattern's own terms unless told otherwise."""
    facts = facts_of_record(record)
    section = facts.pattern.sections[at[0]]
    for language in terms or (cast("Terms", facts.pattern.home_terms),):
        for size, unit in product(sizes, units):
            form = PrintForm(unit, language, size)
            yield step_text(render_step(section.steps[at[1]], facts, form, section.when))


def _of_terms(record: Record, text: str) -> Iterator[str]:
    """A special stitch or a row of a stitch pattern as editions of either terms print it."""
    facts = facts_of_record(record)
    yield from (facts.plain(text, PrintForm(_home(record), terms)) for terms in TERMS)


def _value_line(name: str | None, record: Record, size: str) -> str:
    """A value with its numbers as the pattern prints them."""
    value, sizes = record["results"]["values"][name], record["results"]["sizes"]
    kept = [at for at, one in enumerate(sizes) if size in ("", one)]
    numbers = [nan if one is None else one for one in value["worked"]]
    lists = printed_lists(value["kind"], numbers, _home(record))
    shown = " / ".join(f"{number_list(one.texts, kept)} {one.unit}".rstrip() for one in lists)
    return f"{spot_words(f'values.{name}', record)}: {shown}"


def _numbers_of(name: str, record: Record, sizes: Sequence[str]) -> set[str]:
    """Every number that a value has, printed in any units, and those of its label."""
    value, all_sizes = record["results"]["values"][name], record["results"]["sizes"]
    numbers = [nan if one is None else one for one in value["worked"]]
    known = set(_NUMBER.findall(" ".join(all_sizes) + " " + spot_words(f"values.{name}", record)))
    for units in UNITS[:2]:
        for one in printed_lists(value["kind"], numbers, units):
            kept = [
                text for size, text in zip(all_sizes, one.texts, strict=True) if not sizes or size in sizes
            ]
            known |= {number for text in kept if text for number in _NUMBER.findall(text)}
    return known
