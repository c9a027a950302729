"""How a bench measures and what it answers with: ratios of two ways of doing the same work, never seconds."""

import gc
import os
import platform
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from time import perf_counter, process_time
from typing import Any, Literal

Work = Callable[[], object]


def no_preparation() -> None:
    """Most work needs nothing done before the clock starts."""


class BenchError(Exception):
    """What was to be measured is not there, or not right; the reason is one sentence."""


@dataclass(frozen=True)
class BenchRatio:
    """A measured number with the most (or the least) it may be."""

    value: float
    target: float
    limit: Literal["at most", "at least"] = "at most"

    @property
    def ok(self) -> bool:
        """Whether the target is met."""
        return self.value <= self.target if self.limit == "at most" else self.value >= self.target

    def as_json(self) -> dict[str, Any]:
        """Return the ratio for machines."""
        return {
            "value": round(self.value, 3),
            "target": self.target,
            "limit": self.limit,
            "ok": self.ok,
        }


@dataclass(frozen=True)
class BenchResult:
    """What a bench found: its ratios by name, and other numbers that are worth knowing."""

    bench: str
    runs: str
    ratios: dict[str, BenchRatio]
    notes: dict[str, Any] = field(default_factory=dict)

    @property
    def ok(self) -> bool:
        """Whether every target is met."""
        return all(ratio.ok for ratio in self.ratios.values())

    def as_json(self) -> dict[str, Any]:
        """Return the answer for machines."""
        return {
            "bench": self.bench,
            "machine": machine(),
            "runs": self.runs,
            "ratios": {name: ratio.as_json() for name, ratio in self.ratios.items()},
            "notes": self.notes,
        }


def machine() -> str:
    """Say what was measured on."""
    system = f"{platform.system()}, Python {platform.python_version()}"
    return f"{platform.machine()}, {os.cpu_count()} processors, {system}"


def best_times(
    works: Sequence[Work], *, rounds: int, preparations: dict[int, Work] | None = None
) -> list[float]:
    """Return the shortest time (s) of each work over some rounds; in each round all works take turns.

    What a work needs done beforehand, by its place, is not measured.
    """
    best = [float("inf")] * len(works)
    for _ in range(rounds):
        for at, work in enumerate(works):
            (preparations or {}).get(at, no_preparation)()
            best[at] = min(best[at], _time_of(work))
    return best


def _time_of(work: Work) -> float:
    """Return how long a work takes (s), without the collection of garbage that others left."""
    gc.collect()
    gc.disable()
    try:
        started = perf_counter()
        work()
        return perf_counter() - started
    finally:
        gc.enable()


def processor_times(works: Sequence[Work], *, rounds: int) -> list[float]:
    """Return the least time of the processor (s) that each work takes; in each round all take turns."""
    best = [float("inf")] * len(works)
    for _ in range(rounds):
        for at, work in enumerate(works):
            gc.collect()
            gc.disable()
            started = process_time()
            work()
            best[at] = min(best[at], process_time() - started)
            gc.enable()
    return best
