"""Limits of time that mean the same on a fast machine and on a slow, busy or watched one."""

import time
from collections.abc import Callable
from pathlib import Path

from catalogue.site.benches.ratios import BenchResult
from grading.core.formula import evaluation, formula
from grading.core.grade.grade import grade
from grading.core.pattern.file import forget_fitting_files, read_pattern

SAMPLE = Path(__file__).resolve().parents[1] / "catalogue" / "site" / "demo" / "brackenmere_pullover.json"
BESIDE_OTHERS = 1.5  # a bench holds its targets on a quiet machine; other tests share its caches
SAMPLE_S = 0.012  # what reading and grading the sample takes where the limits were set


def fewest_seconds(work: Callable[[], object], enough: float = 0.0) -> float:
    """The processor time of a work, in s: the least of three, or the first that is less than enough."""
    best = float("inf")
    for _ in range(3):
        forget_what_was_read()
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


def forget_what_was_read() -> None:
    """Nothing is read faster for having been read before."""
    for kept in (formula._read, evaluation.function_of):
        kept.cache_clear()
    forget_fitting_files()


def measured(bench: Callable[[], BenchResult]) -> list[BenchResult]:
    """The answers of a bench: one, or three where its ratios are not all within what is let pass here."""
    answers: list[BenchResult] = []
    while len(answers) < 3 and (not answers or slow_beside_others(answers)):
        answers.append(bench())
    return answers


def slow_beside_others(answers: list[BenchResult]) -> dict[str, float]:
    """The ratios that were beyond what is let pass beside other tests in each answer, with their least."""
    least = {name: min(one.ratios[name].value for one in answers) for name in answers[0].ratios}
    targets = {name: one.target for name, one in answers[0].ratios.items()}
    return {
        name: value
        for name, value in least.items()
        if value > targets[name] * (1 if is_count(name) else BESIDE_OTHERS)
    }


def is_count(name: str) -> bool:
    """Whether a ratio is a number of queries, rows or dependents, which no other work can change."""
    return " / " not in name
