"""What is noticed in stitch patterns: sizes and rows that don't come out, colours that there are not."""

import re
from collections.abc import Iterator
from typing import cast

from grading.core.formula.dimensions import STITCH
from grading.core.formula.errors import FormulaError
from grading.core.instructions.references import line_and_column
from grading.core.instructions.terms import Craft
from grading.core.instructions.unknown_abbreviations import unknown_abbreviations
from grading.core.pattern.parts import label_of
from grading.core.pattern.pattern import PatternFile, StitchPatternEntry
from grading.core.printing.edition import Terms
from grading.core.sheet.findings import Finding, stop, warn
from grading.core.sheet.workings import Workings
from grading.core.stitch_patterns.charts import Chart, chart_of, craft_of
from grading.core.stitch_patterns.fits import all_repeats, misfit_sentence

Repeats = dict[str, tuple[int | None, ...]]


def pattern_repeats(of: Workings, entry: StitchPatternEntry) -> Repeats:
    """Return how often every size works a stitch pattern, by line; sizes that don't fit are reported.

    Args:
        of: The sheet, worked out.
        entry: The stitch pattern.

    Returns:
        For each line that is worked in it one number per size, None where a size has none or doesn't fit.

    Source: common practice: a count is whole repeats and the edge stitches.
    """
    where = f"stitch_patterns.{entry.name}"
    labels = {value.name: label_of({"name": value.name, "label": value.label}) for value in of.pattern.values}
    found: Repeats = {}
    for name in entry.over:
        try:
            counts = of.counts(name, (STITCH,), "over")
        except FormulaError as error:
            of.add(stop(where, error.says))
            continue
        found[name], wrong = all_repeats(entry, counts.tolist())
        label = labels.get(name, name.replace("_", " "))
        if entry.left_over is None:
            of.add(
                *(
                    stop(where, misfit_sentence(entry, label, float(counts[place])), of.pattern.sizes[place])
                    for place in wrong
                )
            )
    return found


def notice_rows(of: Workings, entry: StitchPatternEntry) -> Chart:
    """Return the chart of a stitch pattern; what is wrong in its rows is reported.

    Args:
        of: The sheet; none of its numbers is looked at.
        entry: The stitch pattern.

    Returns:
        The chart.
    """
    where = f"stitch_patterns.{entry.name}"
    chart = chart_of(entry, of.pattern)
    of.add(*(stop(where, says) for says in chart.says))
    of.add(*(warn(where, _in_words(row.number, row.why, rounds=entry.rounds)) for row in chart.unread))
    of.add(*_unknown_colours(entry, of.pattern, chart), *_unknown_words(entry, of.pattern))
    return chart


_ALL_ROWS = re.compile(
    r"\b(?:all|the) (?:the )?(\d+) (rows|rounds|rnds) of \{([a-z][a-z0-9_]*)\}", re.IGNORECASE
)


def rows_told_otherwise(pattern: PatternFile) -> Iterator[Finding]:
    """Find steps that say of a stitch pattern that it has other rows than it has.

    Args:
        pattern: The pattern as read.

    Yields:
        One finding for each place, to be thought about: `the 12 rounds of {waves}`, which has 13.
    """
    known = {one.name: one for one in pattern.stitch_patterns}
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            for found in _ALL_ROWS.finditer(step):
                one = known.get(found[3])
                rows = len(one.rows or one.grid) if one else 0
                if one and int(found[1]) != rows:
                    told = f"“{found[1]} {found[2]}” is said of “{one.label}”, which has {rows}."
                    says = f"{told} Change one of them."
                    place = line_and_column(step, found.start(1))
                    yield Finding(f"sections[{i}].steps[{j}]", None, "warn", *place, says)


def _in_words(number: int, why: str, *, rounds: bool) -> str:
    """Say that a row has no chart."""
    return f"{'Round' if rounds else 'Row'} {number} is printed in words and not in the chart: {why}."


def _unknown_colours(entry: StitchPatternEntry, pattern: PatternFile, chart: Chart) -> list[Finding]:
    """Letters of a grid that are no colour of the pattern."""
    known = {yarn.colour for yarn in pattern.yarns}
    used = dict.fromkeys(one.colour for row in chart.rows for one in row.cells if one.colour)
    return [
        stop(
            f"stitch_patterns.{entry.name}",
            f"The grid has the letter {colour}, which is no colour of the pattern: add its yarn.",
        )
        for colour in used
        if colour not in known
    ]


def _unknown_words(entry: StitchPatternEntry, pattern: PatternFile) -> list[Finding]:
    """Abbreviations of the rows that are in no list."""
    own, craft = pattern.own_shorts(), cast("Craft", craft_of(entry, pattern))
    terms = cast("Terms", pattern.home_terms)
    return [
        stop(f"stitch_patterns.{entry.name}", f"Row {number}: {says}")
        for number, text in enumerate(entry.rows, 1)
        for _, says in unknown_abbreviations(text, terms, craft, own, pattern.sizes)
    ]
