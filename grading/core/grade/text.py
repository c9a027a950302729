"""A graded pattern as a table for people, in plain text."""

from collections.abc import Iterator, Sequence

import numpy as np

from grading.core.formula.dimensions import COUNT_KINDS
from grading.core.formula.literals import LENGTH_UNITS_MM
from grading.core.grade.grade import Graded, GradedValue
from grading.core.sheet.findings import Finding

DASH = "–"


def graded_lines(graded: Graded) -> Iterator[str]:
    """Write a graded pattern line by line: values, pick-ups, checks, yarn, findings.

    Args:
        graded: A graded pattern.

    Returns:
        Lines of text; lengths in the home units, weights in g, yarn in m.

    Source: derived.
    """
    yield from _table(graded)
    for need in graded.yarn:
        yield ""
        chosen = ", ".join(f"{option} {choice}" for option, choice in need.options.items())
        yield f"Yarn{f' ({chosen})' if chosen else ''}"
        rows = [(f"{name}, g", _shown(of.weight_g, 0)) for name, of in need.colours.items()]
        rows += [(f"{name}, m", _shown(of.length_m, 0)) for name, of in need.colours.items()]
        rows += [(f"{name}, balls", _shown(of.balls, 0)) for name, of in need.colours.items()]
        yield from _aligned(graded.sizes, rows)
    yield ""
    yield from (_finding_line(finding) for finding in graded.findings)
    stops = sum(finding.weight == "stop" for finding in graded.findings)
    yield f"{len(graded.findings)} findings, {stops} of them in the way of publishing."


def _table(graded: Graded) -> Iterator[str]:
    """Write values, pick-ups and checks, one line each."""
    home = graded.pattern.home_units
    rows = [(f"{name} ({_unit(value, home)})", _value(value, home)) for name, value in graded.values.items()]
    rows += [(f"{name} (picked up)", _shown(numbers, 0)) for name, numbers in graded.pick_ups.items()]
    words = {True: "holds", False: "fails", None: DASH}
    rows += [(f"{name} (check)", [words[one] for one in results]) for name, results in graded.checks.items()]
    yield from _aligned(graded.sizes, rows)


def _aligned(sizes: Sequence[str], rows: Sequence[tuple[str, Sequence[str]]]) -> Iterator[str]:
    """Write rows under their sizes, numbers to the right."""
    head = max((len(name) for name, _ in rows), default=0)
    columns = [sizes, *(texts for _, texts in rows)]
    widths = [max(len(column[i]) for column in columns) for i in range(len(sizes))]
    for name, texts in [("", sizes), *rows]:
        cells = "  ".join(text.rjust(width) for text, width in zip(texts, widths, strict=True))
        yield f"{name.ljust(head)}  {cells}".rstrip()


def _unit(value: GradedValue, home_units: str) -> str:
    """Name the unit in which a value is written."""
    return {"length": home_units, "weight": "g", "yarn": "m", "area": "stitch-rows"}.get(
        value.kind, value.kind
    )


def _value(value: GradedValue, home_units: str) -> list[str]:
    """Write the worked numbers of a value; hundredths of an inch are about as fine as tenths of a cm."""
    if value.kind == "length":
        return _shown(value.worked / LENGTH_UNITS_MM[home_units], 2 if home_units == "in" else 1)
    return _shown(value.worked, 0 if value.kind in COUNT_KINDS else 2)


def _shown(numbers: "np.typing.NDArray[np.float64]", decimals: int) -> list[str]:
    """Write numbers with so many decimals, a dash for null."""
    return [DASH if np.isnan(number) else f"{number + 0.0:.{decimals}f}" for number in numbers]


def _finding_line(finding: Finding) -> str:
    """Write a finding in one line."""
    size = f", size {finding.size}" if finding.size else ""
    place = f", line {finding.line}, column {finding.column}" if finding.line else ""
    return f"{finding.weight}: {finding.where}{size}{place}: {finding.says}"
