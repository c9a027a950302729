"""What an edition prints, gathered from a frozen record: lists and tables, ready for the templates."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace
from math import isfinite, nan
from typing import Any

from catalogue.drawings.laid_wholes import BLANKET, SHAWL, whole_role
from catalogue.drawings.special_stitches import SpecialStitch, special_stitch
from catalogue.editions.by_groups import lines_by_group, tables_by_group
from catalogue.editions.cautions import cautions_for
from catalogue.editions.choices_told import choices_that_matter
from catalogue.editions.for_one import measures_of_one, measures_told, with_boxes
from catalogue.editions.glance import glance
from catalogue.editions.needs import aid_lines, gauge_lines, tool_lines, yarn_lines, yarn_tables, yarn_words
from catalogue.editions.notions import notion_lines
from catalogue.editions.other_sizes import without_other_sizes
from catalogue.editions.practice_yarn import balls_more, included_words, printed_piece
from catalogue.editions.reading import reading_notes
from catalogue.editions.size_choice import SizePair, choosing_words, size_pair
from catalogue.editions.sized_parts import (
    NOTHING_BY_SIZE,
    by_size,
    drawn_parts,
    instructions_of,
    look_of,
    sizes_line,
)
from catalogue.editions.sources import Source, split_table
from catalogue.editions.substitutes import substitute_lines
from catalogue.editions.terms import printed_abbreviations, term_pairs
from catalogue.helps.showing import helps_of
from catalogue.models import StitchPicture
from catalogue.practice.showing import shown_piece
from catalogue.versions.freezing import NO_VERSION
from catalogue.versions.printed_changes import printed_changes
from catalogue.versions.records import Record, read_day
from grading.core.instructions.spelling import spelled
from grading.core.instructions.steps import print_words, when_told
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.edition import Units
from grading.core.printing.measures import PrintedList, lists_in, printed_lists
from grading.core.printing.numbers import DASH
from grading.core.printing.size_rows import PageRow, PageTable, lined_up

MOST_IN_HALVES, LONGEST_IN_HALVES = 40, 66
EASE = "Ease"
# Nobody wears these close to the body: a size is chosen by how large the piece is.
NOT_FITTED = (SHAWL, BLANKET)
# The name of another garment is no term: words that all begin with a capital, two or more.
_NAME = re.compile(r"(?<![`\w])[A-Z][\w’'-]*(?: [A-Z][\w’'-]*)+(?![`\w])")


def _summary(source: Source, text: str) -> str:
    """What the pattern is, in the terms of the edition; up to the second wording in its spelling alone."""
    facts, terms = source.facts, source.edition.terms
    if facts.pattern.wording > WIDE_WORDING:
        return facts.plain(_NAME.sub(r"`\g<0>`", text), source.edition)
    is_as_typed = facts.pattern.wording == FIRST_WORDING or terms == facts.home_terms
    return facts.typeset(text if is_as_typed else spelled(text, terms, facts.pattern.wording))


def booklet(source: Source, copy_for: str = "") -> dict[str, Any]:
    """Everything that the templates of an edition print."""
    record, document = source.record, source.record["pattern"]
    helps = helps_of(record, source.facts.helps) if source.edition.helps else []
    drawn = drawn_parts(source)
    instructions = [one for group in drawn["groups"] for one in group["instructions"]]
    instructions = instructions or instructions_of(source)
    frozen_on = read_day(record)
    lines = [(label, sizes_line(part)) for label, part in source.groups]
    return {
        "record": record,
        "title": source.facts.typeset(record["title"]),
        "is_left": source.edition.hand == "left",
        "copy_for": copy_for,
        "is_draft": record["number"] == NO_VERSION,
        "date": f"{frozen_on.day} {frozen_on:%B %Y}",
        "summary": _summary(source, without_other_sizes(document.get("summary", ""), source)),
        "craft": record["pattern"]["craft"],
        "wording": source.facts.pattern.wording,
        "colour": "color" if source.edition.terms == "US" else "colour",
        "tool_word": "needle" if source.facts.craft == "knitting" else "hook",
        "gauge_word": "gauge" if source.edition.terms == "US" else "tension",
        "sizes_line": "; ".join(f"{label}: {line}" for label, line in lines) if lines else sizes_line(source),
        "head_line": max((line for _, line in lines), key=len, default=sizes_line(source)),
        "group_lines": lines,
        "at": "",
        "of_group": "",
        "for_size": source.edition.sizes or "",
        "is_for_one": source.is_for_one,
        "has_one_size": source.has_one_size,
        "measures_title": f"{'Size' if source.has_one_size else 'Sizes'} and measurements",
        "has_size_line": not (source.edition.sizes or lines or source.has_one_size),
        "page_classes": _page_classes(source),
        "for_choices": when_told(
            [(name, (choice,)) for name, choice in choices_that_matter(source, instructions)],
            source.facts,
            source.edition,
        ),
        "yarns": list(yarn_lines(source)),
        "ended": [*record.get("ended_yarns", ()), *lines_by_group(source, substitute_lines)],
        "yarn_tables": tables_by_group(source, yarn_tables),
        "yarn_note": " ".join([yarn_words(source), *balls_more(source)]),
        "tools": lines_by_group(source, tool_lines),
        "notions": lines_by_group(source, lambda part: notion_lines(part.facts, part.edition, part.kept)),
        "aids": aid_lines(source),
        "gauges": gauge_lines(source),
        **_size_choice(source),
        "how_to_measure": how_to_measure(source),
        **drawn,
        **(NOTHING_BY_SIZE if lines else by_size(source)),
        "special_stitches": special_block(source),
        **_abbreviations(source, printed_abbreviations(source.facts, source.edition, instructions)),
        "terms": term_pairs(source.facts, source.edition),
        **reading_notes(instructions, source.facts.pattern.wording, has_one_size=source.has_one_size),
        "instructions": with_boxes(instructions, source.facts.pattern.wording)
        if source.is_for_one
        else instructions,
        "helps": [(one, help_url(record, one.code)) for one in helps],
        **_practice(source),
        "cautions": cautions_for(_for_sizes(source), source.facts.pattern.wording),
        "changes": printed_changes(
            record, source.edition, source.sizes, lambda text: source.facts.plain(text, source.edition)
        ),
        "corrections_url": corrections_url(record),
    }


def _for_sizes(source: Source) -> dict[str, Any]:
    """The pattern file; in the edition of some sizes with those alone, which are warned of what they need."""
    document: dict[str, Any] = source.record["pattern"]
    is_first = source.facts.pattern.wording == FIRST_WORDING
    is_whole = source.edition.only is None or is_first
    return document if is_whole else {**document, "sizes": list(source.sizes)}


def _page_classes(source: Source) -> str:
    """What the styles of its pages go by, beside the kind of print."""
    wording = source.facts.pattern.wording
    known = {
        "flowing": wording > FIRST_WORDING,
        "close": wording > WIDE_WORDING,
        "for-one": source.is_for_one,
    }
    return "".join(f" {name}" for name, holds in known.items() if holds)


def _size_choice(source: Source) -> dict[str, Any]:
    """The front page at a glance, the table of sizes and how to choose one."""
    if source.facts.pattern.wording == FIRST_WORDING:
        tables = measurement_tables(source)
        return {"glance": None, "measurement_tables": tables, "told_of_one": [], "choosing": ""}
    pair = size_pair(source.facts, source.edition)
    tables = tables_by_group(source, lambda part: measurement_tables(part, pair))
    return {
        "glance": glance(source.facts, source.edition, source.kept, pair),
        "measurement_tables": tables,
        "has_dash": source.facts.pattern.wording <= WIDE_WORDING
        or any(DASH in row.texts for table in tables for row in table.rows),
        "measures_of_one": measures_of_one(tables) if source.is_for_one else [],
        "told_of_one": list(_told_of_one(source, tables, has_choosing=pair is not None)),
        "choosing": choosing_words(pair, source.facts, source.edition, source.kept) if pair else "",
        "is_not_worn": any(whole_role(piece) in NOT_FITTED for piece in source.facts.pattern.pieces),
    }


def _told_of_one(
    source: Source, tables: Sequence[PageTable], *, has_choosing: bool
) -> Iterator[dict[str, Any]]:
    """The measurements of one size with how they are taken; its ease only where no sentence tells it."""
    if source.is_for_one and source.facts.pattern.wording > WIDE_WORDING:
        told = measures_told(tables, how_to_measure(source))
        yield from (part for part in told if part["head"] != EASE or not has_choosing)


def _abbreviations(source: Source, pairs: Sequence[tuple[str, str]]) -> dict[str, Any]:
    """Abbreviations side by side; since the third wording those that take a line of their own stand below."""
    long = [pair for pair in pairs if len(pair[1]) > LONGEST_IN_HALVES]
    if source.facts.pattern.wording <= WIDE_WORDING or len(pairs) > MOST_IN_HALVES:
        long = []
    beside = [pair for pair in pairs if pair not in long]
    return {"abbreviation_halves": _halves(beside) if beside else [], "abbreviations_below": long}


def _halves(pairs: Sequence[tuple[str, str]]) -> list[Sequence[tuple[str, str]]]:
    """Two short lists that stand side by side, the first not the shorter; a long one stays whole to break."""
    if len(pairs) > MOST_IN_HALVES or any(len(meaning) > LONGEST_IN_HALVES for _, meaning in pairs):
        return [pairs]
    middle = (len(pairs) + 1) // 2
    return [half for half in (pairs[:middle], pairs[middle:]) if half]


def special_block(source: Source) -> list[SpecialStitch]:
    """The special stitches with their pictures."""
    pictures = {
        one["name"]: [StitchPicture(**picture) for picture in one["pictures"]]
        for one in source.record.get("special_pictures", ())
    }
    look = look_of(source)
    return [
        special_stitch(entry, look, pictures.get(entry.name, ()))
        for entry in source.facts.pattern.special_stitches
    ]


def _practice(source: Source) -> dict[str, Any]:
    """The practice piece with what is said of its yarn; in the edition of one maker with boxes to tick."""
    piece, wording = printed_piece(source), source.facts.pattern.wording
    if piece is None:
        return {"practice": None, "practice_yarn": ""}
    shown = shown_piece(piece, source.edition, type_mm=source.type_mm)
    if source.is_for_one and wording > WIDE_WORDING:
        shown = replace(shown, sections=with_boxes(shown.sections, wording))
    return {"practice": shown, "practice_yarn": included_words(source, piece)}


def corrections_url(record: Record) -> str:
    """The public address of this version's corrections; none where the studio had none when it was frozen."""
    return record["url"] and f"{record['url']}{corrections_path(record)}"


def help_url(record: Record, code: str) -> str:
    """The short public address of a help; none where the studio had none when the version was frozen."""
    return record["url"] and f"{record['url']}/h/{code}/"


def corrections_path(record: Record) -> str:
    """Where a studio has the page of this version's corrections."""
    return f"/patterns/{record['slug']}/{record['number']}/corrections/"


def measurement_tables(source: Source, pair: SizePair | None = None) -> list[PageTable]:
    """Body measurements to fit, beside the finished measurements, and the ease between the two of a pair."""
    rows = [PageRow("To fit"), *_body_rows(source), PageRow("Finished measurements"), *_finished_rows(source)]
    if pair is not None:
        rows += [PageRow(EASE), *_ease_rows(source, pair)]
    tables = split_table(source, rows)
    return list(tables) if source.facts.pattern.wording <= WIDE_WORDING else [lined_up(one) for one in tables]


def _ease_rows(source: Source, pair: SizePair) -> Iterator[PageRow]:
    """How much larger the garment is than the body, where a size is chosen by it."""
    finished, body = (source.facts.plain(one.label, source.edition) for one in (pair.finished, pair.body))
    label, edition, wording = (
        f"{finished} less {body[:1].lower()}{body[1:]}",
        source.edition,
        source.facts.pattern.wording,
    )
    if wording <= WIDE_WORDING or edition.units != "both":
        yield from _rows(source, label, "length", pair.ease_mm)
        return
    units: Sequence[Units] = ("cm", "in")
    lists = [one for unit in units for one in printed_lists("length", pair.ease_in(unit), unit, wording)]
    yield from _rows_of(source, label, edition.in_order(lists))


def _body_rows(source: Source) -> Iterator[PageRow]:
    """One row per body measurement and unit."""
    pattern = source.facts.pattern
    finished = {source.facts.plain(one.label, source.edition) for one in pattern.values if one.measured}
    finished = finished if pattern.wording > WIDE_WORDING else set()
    for measure in pattern.body:
        numbers = [nan if n is None else n for n in measure.entries]
        if _is_told(source, numbers):
            label = f"{measure.label} on the body" if measure.label in finished else measure.label
            yield from _rows(source, label, "length", numbers)


def _finished_rows(source: Source) -> Iterator[PageRow]:
    """One row per finished measurement and unit."""
    for value in source.facts.pattern.values:
        numbers = [nan if n is None else n for n in source.facts.row(value.name)]
        if value.measured and _is_told(source, numbers):
            yield from _rows(source, source.facts.plain(value.label, source.edition), value.kind, numbers)


def _is_told(source: Source, numbers: Sequence[float]) -> bool:
    """Whether a size of the edition has such a measurement; in the first wording it always had its row."""
    is_first = source.facts.pattern.wording == FIRST_WORDING
    return is_first or any(isfinite(numbers[place]) for place in source.kept)


def _rows(source: Source, label: str, kind: str, numbers: Sequence[float]) -> Iterator[PageRow]:
    """A measure in each system of units that the edition has."""
    wording = source.facts.pattern.wording
    is_first = wording == FIRST_WORDING
    in_order = lists_in(source.edition, kind, numbers, wording)
    lists = printed_lists(kind, numbers, source.edition.units, wording) if is_first else in_order
    yield from _rows_of(source, label, lists)


def _rows_of(source: Source, label: str, lists: Sequence[PrintedList]) -> Iterator[PageRow]:
    """What is printed of a measure, a row for each system of units."""
    for one in lists:
        texts = tuple(one.texts[place] or DASH for place in source.kept)
        yield PageRow(f"{label}, {one.unit}" if one.unit else label, texts)


def how_to_measure(source: Source) -> list[tuple[str, str]]:
    """Where to lay the tape for each finished measurement."""
    return [
        (
            source.facts.plain(value.label, source.edition),
            print_words(value.measured.how, source.facts, source.edition),
        )
        for value in source.facts.pattern.values
        if value.measured
        and _is_told(source, [nan if n is None else n for n in source.facts.row(value.name)])
    ]
