"""Limits of time that mean the same on a fast machine and on a slow, busy or watched one."""

import time
from collections.abc import Callable
from pathlib import Path

from grading.core.formula import evaluation, formula
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern

SAMPLE = Path(__file__).resolve().parents[1] / "catalogue" / "site" / "demo" / "brackenmere_pullover.json"
SAMPLE_S = 0.012  # what reading and grading the sample takes where the limits were set


def fewest_seconds(work: Callable[[], object], enough: float = 0.0) -> float:
    """The processor time of a work, in s: the least of three, or the first that is less than enough."""
    best = float("inf")
    for _ in range(3):
        forget_formulas()
        started = time.process_time()
        work()
        best = min(best, time.process_time() - started)
        if best < enough:
            break
    return best


def slowness() -> float:
    """How many times longer a known work takes just now than where the limits were set; at least 1."""
    text = SAMPLE.read_text(encoding="utf-8")
    return max(1.0, fewest_seconds(lambda: grade(read_pattern(text))) / SAMPLE_S)


def forget_formulas() -> None:
    """Nothing is read faster for having been read before."""
    for kept in (formula._read, evaluation.function_of):
        kept.cache_clear()
