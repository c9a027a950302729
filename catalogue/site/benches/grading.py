"""How fast a whole sheet is worked out: against NumPy by hand, and against a spreadsheet engine."""

import io
import tempfile
from collections.abc import Callable
from contextlib import redirect_stderr
from pathlib import Path
from typing import Any

import numpy as np

from catalogue.site.benches.by_hand import hand_input, work_by_hand
from catalogue.site.benches.ratios import BenchError, BenchRatio, BenchResult, best_times
from catalogue.site.benches.sheets import sheet_document
from grading.core.grade.grade import Graded, grade
from grading.core.pattern.file import read_pattern
from grading.core.pattern.pattern import PatternFile
from grading.workbooks.files import xlsx_file
from grading.workbooks.workbook import workbook_of

ROUNDS, ENGINE_ROUNDS = 30, 2
VALUE_COUNTS, SIZE_COUNTS = (100, 200, 400, 800), (3, 6, 12, 24)


def measure() -> BenchResult:
    """Measure; every work is done once before the clock starts, so that its formulas are parsed."""
    growth = _growth()
    by_values = [growth[24, count] for count in VALUE_COUNTS]
    by_sizes = [growth[size, 400] for size in SIZE_COUNTS]
    times = VALUE_COUNTS[-1] / VALUE_COUNTS[0]
    return BenchResult(
        "grading",
        f"best of {ROUNDS} rounds, in each of which all works take turns; "
        f"the spreadsheet engine takes part in {ENGINE_ROUNDS}",
        {
            "full evaluation / NumPy by hand, 24 sizes x 400 values": BenchRatio(_against_numpy(), 5),
            "spreadsheet engine / full evaluation, 12 x 100": BenchRatio(_against_engine(), 100, "at least"),
            "time per value, 800 values / 100 values": BenchRatio(by_values[-1] / by_values[0] / times, 1.5),
            "time, 24 sizes / 3 sizes": BenchRatio(by_sizes[-1] / by_sizes[0], 2),
        },
        {
            "ms by values, 24 sizes": _milliseconds(VALUE_COUNTS, by_values),
            "ms by sizes, 400 values": _milliseconds(SIZE_COUNTS, by_sizes),
        },
    )


def _milliseconds(counts: tuple[int, ...], seconds: list[float]) -> dict[str, float]:
    """Times for people."""
    return {str(count): round(time * 1000, 2) for count, time in zip(counts, seconds, strict=True)}


def _ready(sizes: int, values: int) -> PatternFile:
    """A pattern that has been worked out once: its formulas are parsed."""
    pattern = read_pattern(sheet_document(sizes=sizes, values=values), trusted=True)
    grade(pattern)
    return pattern


def _grading(pattern: PatternFile) -> Callable[[], Graded]:
    """The full evaluation of a pattern: all numbers exact, worked and ideal, and all findings."""
    return lambda: grade(pattern)


def _growth() -> dict[tuple[int, int], float]:
    """Times by sizes and values."""
    measured = [(24, count) for count in VALUE_COUNTS] + [(size, 400) for size in SIZE_COUNTS[:-1]]
    times = best_times([_grading(_ready(*one)) for one in measured], rounds=ROUNDS)
    return dict(zip(measured, times, strict=True))


def _against_numpy() -> float:
    """How many times as long as by hand; the numbers are compared first."""
    pattern, given = _ready(24, 400), hand_input(sheet_document(sizes=24, values=400))
    by_hand = work_by_hand(given)
    for name, value in grade(pattern).values.items():
        pairs = (
            (value.exact, by_hand.exact[name]),
            (value.worked, by_hand.worked[name]),
            (value.ideal, by_hand.ideal[name]),
        )
        if not all(np.allclose(ours, theirs, rtol=1e-9, atol=1e-9) for ours, theirs in pairs):
            raise BenchError(f"“{name}” worked out by hand is another number: nothing was measured.")
    ours, by_hand_s = best_times([_grading(pattern), lambda: work_by_hand(given)], rounds=ROUNDS)
    return ours / by_hand_s


def _against_engine() -> float:
    """How many times as long the engine takes for the exported workbook; its numbers are compared first."""
    pattern = _ready(12, 100)
    graded = grade(pattern)
    with redirect_stderr(io.StringIO()):
        model = _workbook_model(xlsx_file(workbook_of(graded)))
        _require_same_numbers(graded, model.calculate())
        engine_s, ours_s = best_times([model.calculate, _grading(pattern)], rounds=ENGINE_ROUNDS)
    return engine_s / min(ours_s, best_times([_grading(pattern)], rounds=ROUNDS)[0])


def _workbook_model(workbook: bytes) -> Any:
    """The exported workbook, read and compiled by the engine."""
    try:
        import formulas
    except ModuleNotFoundError:
        raise BenchError("The package formulas is missing: install requirements-test.lock.") from None
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "sheet.xlsx"
        path.write_bytes(workbook)
        return formulas.ExcelModel().loads(str(path)).finish()


def _require_same_numbers(graded: Graded, solution: Any) -> None:
    """Make sure that the engine works out what we work out."""
    for row, (name, value) in enumerate(graded.values.items(), start=2):
        cells = [f"'[sheet.xlsx]VALUES'!{column}{row}" for column in "GHIJKLMNOPQR"]
        theirs = [float(solution[cell].value[0, 0]) for cell in cells]
        if not np.allclose(value.worked, theirs, rtol=1e-9, atol=1e-6):
            raise BenchError(f"The engine works “{name}” out as another number: nothing was measured.")
