"""Simulated test calls with planted errors, as results files, and how far an assessment is from the truth.

A tester's fabric strays from the pattern's gauge, the swatch from the fabric, the tape from the garment; some
entries are slips. A planted error changes the count that the garment is made with, not the sheet.
"""

import math
import random
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

Document = dict[str, Any]
Measurement = tuple[str, str, bool, float, float]
KINDS = ("holds", "shift", "slope", "sizes")
# name, direction, round the body, centimetres at a bust of 80 cm, and growth with the bust
MEASUREMENTS: tuple[Measurement, ...] = (
    ("chest", "stitches", True, 90.0, 1.0),
    ("hem", "stitches", True, 86.0, 1.0),
    ("back_width", "stitches", False, 34.0, 0.18),
    ("upper_arm", "stitches", True, 30.0, 0.33),
    ("wrist", "stitches", True, 20.0, 0.08),
    ("neck_width", "stitches", False, 17.0, 0.06),
    ("body_length", "rows", False, 54.0, 0.12),
    ("armhole", "rows", False, 18.0, 0.11),
    ("sleeve", "rows", False, 43.0, 0.02),
    ("neck_depth", "rows", False, 8.0, 0.05),
)


@dataclass(frozen=True)
class Making:
    """How the testers of a call are."""

    per_size: int | None = None
    sizes: int | None = None
    slips: float = 0.04
    missing: float = 0.05
    gauge_sd: float = 0.04
    swatch_sd: float = 0.02
    tape_cm: float = 0.5
    tape_share: float = 0.003
    clean: bool = False
    measurements: int | None = None


NATURAL = Making()


@dataclass
class Truth:
    """What was planted: kind and error in mm by measurement; slips as (maker, measurement)."""

    kinds: dict[str, str] = field(default_factory=dict)
    errors: dict[str, list[float]] = field(default_factory=dict)
    slips: set[tuple[str, str]] = field(default_factory=set)


@dataclass
class Workshop:
    """What all testers of a call work from, and what was planted in it."""

    rng: random.Random
    making: Making
    busts: list[float]
    gauge: dict[str, float]  # stitches and rows to the centimetre
    chosen: list[Measurement]
    truth: Truth = field(default_factory=Truth)
    worked: dict[str, list[int]] = field(default_factory=dict)


def simulate_call(seed: int, making: Making = NATURAL) -> tuple[Document, Truth]:
    """Make a results file and the truth behind it."""
    rng = random.Random(f"call {seed}")  # noqa: S311  invented testers
    count = making.sizes or rng.randint(5, 10)
    first, step = rng.uniform(76, 92), rng.uniform(5, 12)
    shop = Workshop(
        rng=rng,
        making=making,
        busts=[first + step * place for place in range(count)],
        gauge={"stitches": rng.uniform(1.0, 2.6), "rows": rng.uniform(0.8, 3.0)},
        chosen=rng.sample(MEASUREMENTS, making.measurements or rng.randint(6, 10)),
    )
    values = [value for line in shop.chosen for value in _planted(shop, line)]
    results = [
        _result(shop, place, number)
        for place in range(count)
        for number in range(making.per_size or rng.choice([2, 3, 3, 4]))
    ]
    document = {"format": "evenrow-results", "format_version": 1, "results": results}
    return {**document, "pattern": _pattern(seed, shop, values)}, shop.truth


def _pattern(seed: int, shop: Workshop, values: list[Document]) -> Document:
    """The pattern file, as it should be."""
    over = {direction: round(10 * per_cm, 3) for direction, per_cm in shop.gauge.items()}
    return {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": f"Larkmoss call {seed}",
        "craft": "knitting",
        "home_units": "cm",
        "home_terms": "US",
        "sizes": [f"{place + 1}" for place in range(len(shop.busts))],
        "fabrics": {"main": {"label": "Main", **over, "over": "10 cm"}},
        "values": values,
    }


def _planted(shop: Workshop, line: Measurement) -> list[Document]:
    """The lines of a measurement; what the text makes of its count is kept as worked."""
    name, direction, around, at_80_cm, growth = line
    per_cm = shop.gauge[direction]
    plan = [max(4, round((at_80_cm + growth * (bust - 80)) * per_cm)) for bust in shop.busts]
    tolerance = max(1.0, 0.015 * sum(plan) / per_cm / len(plan))
    kind = "holds" if shop.making.clean else shop.rng.choices(KINDS, [6, 1, 1, 1])[0]
    error = _error(shop.rng, kind, tolerance, len(plan))
    worked = [max(2, round(planned + off * per_cm)) for planned, off in zip(plan, error, strict=True)]
    shop.worked[name], shop.truth.kinds[name] = worked, kind
    shop.truth.errors[name] = [10 * (a - b) / per_cm for a, b in zip(worked, plan, strict=True)]
    measured = {"how": "Laid out.", "tolerance": f"{tolerance:.2f} cm", "around": around}
    count, formula = f"{name}_count", f"{name}_count / main.{direction}"
    return [
        {"name": count, "label": f"{name}, {direction}", "kind": direction, "list": plan},
        {"name": name, "label": name, "kind": "length", "formula": formula, "measured": measured},
    ]


def _error(rng: random.Random, kind: str, tolerance: float, count: int) -> list[float]:
    """An error of two to three and a half tolerances, by size, in cm."""
    wrong = rng.choice([-1, 1]) * tolerance * rng.uniform(2.0, 3.5)
    error = [0.0] * count
    if kind == "shift":
        error = [wrong] * count
    elif kind == "slope":
        ranks = [place / (count - 1) for place in range(count)]
        middled = rng.random() < 0.5
        error = [wrong * (2 * rank - 1) if middled else 1.3 * wrong * rank for rank in ranks]
    elif kind == "sizes":
        for place in rng.sample(range(count), 1 if count < 8 else rng.choice([1, 2])):
            error[place] = wrong
    return error


def _result(shop: Workshop, place: int, number: int) -> Document:
    """What one tester sends in."""
    rng, making = shop.rng, shop.making
    maker = f"{place + 1}/{number}"
    fabric = {part: per_cm * math.exp(rng.gauss(0, making.gauge_sd)) for part, per_cm in shop.gauge.items()}
    swatch = {
        part: round(10 * per_cm * math.exp(rng.gauss(0, making.swatch_sd)), 1)
        for part, per_cm in fabric.items()
    }
    measured = {}
    for name, direction, around, _, _ in shop.chosen:
        if rng.random() < making.missing:
            continue
        real = shop.worked[name][place] / fabric[direction]
        seen = real + rng.gauss(0, making.tape_cm + making.tape_share * real)
        if rng.random() < making.slips:
            seen /= rng.choice([2.54, 2.0]) if around else 2.54
            shop.truth.slips.add((maker, name))
        measured[name] = f"{max(0.5, round(2 * seen) / 2)} cm"
    gauge = {"main": {**swatch, "over": "10 cm"}}
    return {"maker": maker, "size": f"{place + 1}", "gauge": gauge, "measured": measured}


def naive_answer(call: Document) -> Document:
    """What a table of means says: measured less planned by size, no gauge, no doubt about entries."""
    pattern = call["pattern"]
    gauge, counts = pattern["fabrics"]["main"], {value["name"]: value for value in pattern["values"]}
    verdicts = {}
    for value in pattern["values"]:
        if "measured" not in value:
            continue
        count = counts[f"{value['name']}_count"]
        planned = [10 * number / gauge[count["kind"]] for number in count["list"]]
        error = []
        for size, length in zip(pattern["sizes"], planned, strict=True):
            sent = [one["measured"].get(value["name"]) for one in call["results"] if one["size"] == size]
            off = [float(text.split()[0]) - length for text in sent if text]
            error.append(10 * sum(off) / len(off) if off else 0.0)
        beyond = [abs(mm) > 10 * float(value["measured"]["tolerance"].split()[0]) for mm in error]
        verdict = "shift" if all(beyond) else "sizes" if any(beyond) else "holds"
        verdicts[value["name"]] = {"verdict": verdict, "error": error, "interval": [None] * len(error)}
    return {"measurements": verdicts, "doubtful": []}


def score(pairs: Sequence[tuple[Truth, Document]]) -> dict[str, float]:
    """Shares and mm over truths and answers; NaN where there is nothing to find."""
    told = [
        (truth.kinds[name], truth.errors[name], one)
        for truth, answer in pairs
        for name, one in answer["measurements"].items()
    ]
    wrong = [(kind, one["verdict"]) for kind, _, one in told if kind != "holds"]
    sound = [one["verdict"] for kind, _, one in told if kind == "holds"]
    off = sorted(abs(a - b) for _, errors, one in told for a, b in zip(errors, one["error"], strict=True))
    within = [
        bounds[0] - 0.01 <= error <= bounds[1] + 0.01
        for _, errors, one in told
        for error, bounds in zip(errors, one["interval"], strict=True)
        if bounds
    ]
    silent = ("holds", "undecided")
    return {
        "found": _share([verdict not in silent for _, verdict in wrong]),
        "right_kind": _share([kind == verdict for kind, verdict in wrong]),
        "false_alarms": _share([verdict not in silent for verdict in sound]),
        "undecided": _share([one["verdict"] == "undecided" for _, _, one in told]),
        "median_mm": off[len(off) // 2],
        "ninety_mm": off[int(0.9 * len(off))],
        "within": _share(within),
        **_slips_score(pairs),
    }


def _slips_score(pairs: Sequence[tuple[Truth, Document]]) -> dict[str, float]:
    """How many slips were found, and how many entries called doubtful were slips."""
    found = listed = planted = 0
    for truth, answer in pairs:
        named = {(one["maker"], one["measurement"]) for one in answer["doubtful"]}
        found += len(named & truth.slips)
        planted, listed = planted + len(truth.slips), listed + len(named)
    return {
        "slips_found": found / planted if planted else math.nan,
        "slips_right": found / listed if listed else math.nan,
    }


def _share(held: Sequence[bool]) -> float:
    """The share that holds."""
    return sum(held) / len(held) if held else math.nan
