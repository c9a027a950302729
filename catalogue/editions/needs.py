"""What a maker needs, in lines and tables: yarn, tools and gauge."""

import re
from collections.abc import Iterator, Sequence
from typing import Any

from catalogue.editions.chosen import OWN_SHADE, only_chosen
from catalogue.editions.sources import TYPE_MM_LARGE, Source, split_table
from catalogue.editions.substitutes import named_as_ended, substitute_columns
from catalogue.editions.tool_sizes import asked_tools, asks_smaller
from catalogue.editions.unsized_tools import held_by
from catalogue.editions.yarn_amounts import YarnColumn, yarn_columns
from catalogue.editions.yarn_tables import yarn_blocks, yarn_note
from grading.core.pattern.pattern import FabricEntry, PatternFile, YarnEntry
from grading.core.pattern.wordings import FIRST_WORDING, WIDE_WORDING
from grading.core.printing.edition import Units
from grading.core.printing.numbers import METRES_PER_YARD, print_ball
from grading.core.printing.size_rows import PageRow, PageTable, size_groups
from grading.core.printing.wording import Voice, capital
from grading.core.tools.needs import Numbers, smaller_need, tool_needs, tool_sentence
from grading.core.tools.tools import ToolLengths, lengths_from, us_size


def yarn_lines(source: Source) -> Iterator[tuple[str, str]]:
    """Each colour with what it is; where choices were made, those that they take."""
    taken = _taken(source)
    for yarn in source.facts.pattern.yarns:
        if taken and yarn.colour not in taken:
            continue
        words = [yarn.label, _shade_words(yarn, source.record["shades"].get(yarn.colour))]
        if yarn.put_up_g and yarn.length_per_100g_m:
            ball_m = yarn.put_up_g * yarn.length_per_100g_m / 100
            words.append(_ball_words(yarn.put_up_g, ball_m, source))
        if source.facts.pattern.wording > WIDE_WORDING and yarn.label == f"Yarn {yarn.colour}":
            words = words[1:]  # the colour stands before it
        yield yarn.colour, "; ".join(word for word in words if word)


def _taken(source: Source) -> set[str]:
    """The colours that the choices take in a size of the edition; none where nothing was chosen."""
    if not source.edition.chosen or source.facts.pattern.wording <= WIDE_WORDING:
        return set()
    return {
        colour
        for need in _needs(source)
        for colour, of in need["colours"].items()
        if any(of["weight"][place] for place in source.kept)
    }


def _ball_words(weight_g: float, length_m: float, source: Source) -> str:
    """What a ball weighs and how long it is."""
    if source.facts.pattern.wording == FIRST_WORDING:
        return f"{weight_g:g} g = {length_m:.0f} m ({length_m / METRES_PER_YARD:.0f} yd)"
    return print_ball(weight_g, length_m, source.edition.units)


def _shade_words(yarn: YarnEntry, chosen: dict[str, str] | None) -> str:
    """The chosen yarn and shade, unless the label of the colour names both already."""
    if chosen is None:
        return yarn.shade or ""
    if chosen["shade"] == OWN_SHADE:
        return OWN_SHADE
    named = chosen["yarn"] in yarn.label and chosen["shade"] in yarn.label
    return "" if named else f"{chosen['yarn']}, {chosen['shade']}"


def yarn_tables(source: Source) -> Iterator[PageTable]:
    """Yarn per size and colour, for each choice that changes it."""
    needs, pattern = source.record["results"]["yarn"], source.facts.pattern
    if pattern.wording == FIRST_WORDING:
        for caption, rows in yarn_blocks(needs, pattern, source.edition.units, source.kept):
            yield from split_table(source, rows, caption)
        return
    columns = [*substitute_columns(source), *named_as_ended(_columns(source), source)]
    if source.is_for_one:
        rows = [PageRow(column.head, column.texts) for column in columns]
        if rows:
            yield PageTable(source.sizes, tuple(rows), is_wordy=True)
        return
    for part in size_groups(columns, _columns_across(source)) if columns else ():
        heads = tuple(column.head for column in columns[part])
        cells = zip(*(column.texts for column in columns[part]), strict=True)
        rows = [PageRow(size, texts) for size, texts in zip(source.sizes, cells, strict=True)]
        yield PageTable(heads, tuple(rows), is_tall=len(rows) > source.down, is_wordy=True)


def _columns(source: Source) -> list[YarnColumn]:
    """The columns of yarn for the sizes and choices of an edition, as newer wordings have them."""
    edition = source.edition
    pattern = only_chosen(source.facts.pattern, edition.chosen)
    return yarn_columns(_needs(source), pattern, edition, source.kept)


def _needs(source: Source) -> list[dict[str, Any]]:
    """The yarn of every combination of options that the choices of the edition leave."""
    chosen = dict(source.edition.chosen).items()
    return [one for one in source.record["results"]["yarn"] if chosen <= one["options"].items()]


def yarn_words(source: Source) -> str:
    """What stands below the tables of yarn."""
    pattern, units = source.facts.pattern, source.edition.units
    if pattern.wording <= WIDE_WORDING:
        return yarn_note(pattern, units)
    parts = [part for _, part in source.groups] or [source]
    return columns_note(pattern, units, [_columns(part) for part in parts])


def columns_note(pattern: PatternFile, units: Units, tables: Sequence[Sequence[YarnColumn]]) -> str:
    """What stands below columns of yarn: how to add what no sum tells, and how sums are rounded."""
    sums = [{(one.colour, one.added) for one in columns if one.is_sum} for columns in tables]
    additions = [{(one.colour, one.added) for one in columns if one.added} for columns in tables]
    is_left = any(added - told for added, told in zip(additions, sums, strict=True))
    return yarn_note(pattern, units, adds=is_left, sums=any(sums))


def _columns_across(source: Source) -> int:
    """How many columns of amounts stand side by side on the page."""
    wide = 2 if source.type_mm == TYPE_MM_LARGE else 5
    return max(1, wide - (2 if source.edition.units == "both" else 0))


def tool_lines(source: Source) -> list[str]:
    """The tool of each fabric, with what must hold its rows."""
    voice = _tool_voice(source)
    return [
        f"{_label(need.fabric, source)}: {tool_sentence(need, voice, source.edition.units)}"
        for need in tool_needs(source.facts.pattern, _worked(source), _tool_lengths(source))
    ]


def _worked(source: Source) -> dict[str, Numbers]:
    return {name: value.worked for name, value in source.graded.values.items()}


def _tool_voice(source: Source) -> Voice:
    """For whom tools are told."""
    return source.facts.voice(source.edition, None if source.edition.only is None else tuple(source.kept))


def _tool_lengths(source: Source) -> ToolLengths:
    """The lengths on sale that the record keeps."""
    return lengths_from(source.record.get("tool_lengths", {}))


# What steps ask for beside hook, needle and yarn: each with the words that tell of it.
_AIDS = (
    ("stitch markers", re.compile(r"\bmark(?:s|ed|ers?|ing)?\b", re.IGNORECASE)),
    ("{held}", re.compile(r"\b(?:waste yarn|on hold|holders?)\b", re.IGNORECASE)),
    ("pins that do not rust", re.compile(r"\bpin(?:s|ned|ning)?\b", re.IGNORECASE)),
)
_SEWN = re.compile(r"\b(?:sew|sewn|sewing|seams?|graft\w*)\b", re.IGNORECASE)


def aid_lines(source: Source) -> list[str]:
    """What else the steps ask for: a second hook or needle that no fabric names, then small things."""
    pattern = source.facts.pattern
    words = " ".join(step for section in pattern.sections for step in section.steps)
    own = [one.label for one in pattern.notions] if pattern.wording > WIDE_WORDING else []
    held = "waste yarn" if "waste yarn" in words.casefold() else "waste yarn or a stitch holder"
    aids = [
        name.format(held=held)
        for name, told in _AIDS
        if told.search(words) and not any(told.search(label) for label in own)
    ]
    sewing = "yarn needle for seams and ends" if _SEWN.search(words) else "yarn needle for the ends"
    small = ", ".join([*aids, "tape measure", sewing])
    return [*_second_tool(source), capital(small)]


def _smaller_length(source: Source, tool_mm: float) -> str:
    """The smaller needle with what must hold its stitches; nothing where any does, or in older wordings."""
    pattern, voice = source.facts.pattern, _tool_voice(source)
    if pattern.wording <= WIDE_WORDING:
        return ""
    need = smaller_need(pattern, _worked(source), tool_mm, _tool_lengths(source))
    is_told = any(need.advice[place] for place in voice.places)
    return tool_sentence(need, voice, source.edition.units).removesuffix(".") if is_told else ""


def _second_tool(source: Source) -> Iterator[str]:
    """The smaller hook or needle that steps ask for; where a pattern names no size, the main one too."""
    pattern = source.facts.pattern
    tool = "needle" if pattern.craft == "knitting" else "hook"
    in_us, is_smaller = source.edition.terms == "US", asks_smaller(pattern)
    if not any(one.tool_mm for one in pattern.fabrics):
        main = "Needles that give" if tool == "needle" else "A hook that gives"
        thinner = "one or two sizes smaller" if in_us else "one 0.5 to 1 mm thinner"
        second = f"; for the steps that ask for a smaller {tool}, {thinner}" if is_smaller else ""
        yield f"{main} the {'gauge' if in_us else 'tension'}{second}"
        if held := held_by(source):
            yield f"To hold the stitches: {held}"
    elif is_smaller and (named := asked_tools(pattern).get("smaller")):
        size, us = f"{named:g} mm", us_size(named, source.facts.craft) if in_us else None
        told = f"US {us} ({size})" if source.edition.units == "in" else f"{size} (US {us})"
        yield f"Smaller {tool}: {_smaller_length(source, named) or (told if us else size)}"
    elif is_smaller:
        thinner = "one or two sizes" if in_us else "0.5 to 1 mm"
        yield f"Smaller {tool}, {thinner} below the other, for the steps that ask for it"


def _label(fabric: FabricEntry, source: Source) -> str:
    """A fabric's label in the terms of the edition."""
    return source.facts.plain(fabric.label, source.edition)


def gauge_lines(source: Source) -> list[str]:
    """The gauge of each fabric, one line each."""
    return [_gauge(fabric, source) for fabric in source.facts.pattern.fabrics]


def _gauge(fabric: FabricEntry, source: Source) -> str:
    """Stitches and rows of a fabric over 10 cm, which the trade counts as 4 in."""
    over = "4 in (10 cm)" if source.edition.units == "in" else "10 cm (4 in)"
    size = f"{fabric.tool_mm:g} mm" if fabric.tool_mm else ""
    named, wording = us_size(fabric.tool_mm or 0.0, source.facts.craft), source.facts.pattern.wording
    if named and wording > WIDE_WORDING and source.edition.terms == "US":
        size = f"US {named} ({size})" if source.edition.units == "in" else f"{size} (US {named})"
    elif named and FIRST_WORDING < wording <= WIDE_WORDING and source.edition.inches_first:
        size = f"US {named} ({size})"
    tool = f"{size} needles" if source.facts.craft == "knitting" else f"a {size} hook"
    with_tool = f" with {tool}" if size else ""
    counts = f"{fabric.stitches:g} stitches and {fabric.rows:g} rows"
    return f"{_label(fabric, source)}: {counts} over {over}{with_tool}, after blocking"
