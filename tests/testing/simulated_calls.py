"""Simulated test calls with planted errors, as results files, and how far an assessment is from the truth.

A tester's fabric strays from the pattern's gauge, the swatch from the fabric, the tape from the garment; some
entries are slips. A planted error changes the count that the garment is made with, not the sheet.
"""

import math
import random
from dataclasses import dataclass, field

KINDS = ("holds", "shift", "slope", "sizes")
# name, direction, round the body, centimetres at a bust of 80 cm, and growth with the bust
MEASUREMENTS = (
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


@dataclass
class Truth:
    """What was planted: kind and error in mm by measurement; slips as (maker, measurement)."""

    kinds: dict = field(default_factory=dict)
    errors: dict = field(default_factory=dict)
    slips: set = field(default_factory=set)


def simulate_call(seed, making=None):
    making = making or Making()
    rng = random.Random(f"call {seed}")
    count = making.sizes or rng.randint(5, 10)
    first, step = rng.uniform(76, 92), rng.uniform(5, 12)
    busts = [first + step * place for place in range(count)]
    gauge = {"stitches": rng.uniform(1.0, 2.6), "rows": rng.uniform(0.8, 3.0)}
    chosen = rng.sample(MEASUREMENTS, making.measurements or rng.randint(6, 10))
    truth, values, made = Truth(), [], {}
    for line in chosen:
        values += _plant(rng, line, (busts, gauge), making, truth, made)
    labels = [f"{place + 1}" for place in range(count)]
    results = [
        _result(rng, (label, place, number), (chosen, gauge, made), making, truth)
        for place, label in enumerate(labels)
        for number in range(making.per_size or rng.choice([2, 3, 3, 4]))
    ]
    over = {direction: round(10 * per_cm, 3) for direction, per_cm in gauge.items()}
    pattern = {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": f"Call {seed}",
        "craft": "knitting",
        "home_units": "cm",
        "home_terms": "US",
        "sizes": labels,
        "fabrics": {"main": {"label": "Main", **over, "over": "10 cm"}},
        "values": values,
    }
    return {"format": "evenrow-results", "format_version": 1, "pattern": pattern, "results": results}, truth


def _plant(rng, line, ground, making, truth, made):
    name, direction, around, at_80_cm, growth = line
    busts, gauge = ground
    per_cm, count = gauge[direction], len(busts)
    plan = [max(4, round((at_80_cm + growth * (bust - 80)) * per_cm)) for bust in busts]
    tolerance = max(1.0, 0.015 * sum(plan) / per_cm / count)
    kind = "holds" if making.clean else rng.choices(KINDS, [6, 1, 1, 1])[0]
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
    worked = [max(2, round(planned + off * per_cm)) for planned, off in zip(plan, error, strict=True)]
    made[name] = worked
    truth.kinds[name] = kind
    truth.errors[name] = [10 * (a - b) / per_cm for a, b in zip(worked, plan, strict=True)]
    measured = {"how": "Laid out.", "tolerance": f"{tolerance:.2f} cm", "around": around}
    return [
        {"name": f"{name}_count", "label": f"{name}, {direction}", "kind": direction, "list": plan},
        {
            "name": name,
            "label": name,
            "kind": "length",
            "formula": f"{name}_count / main.{direction}",
            "measured": measured,
        },
    ]


def _result(rng, who, ground, making, truth):
    (label, place, number), (chosen, gauge, made) = who, ground
    maker = f"{label}/{number}"
    fabric = {part: per_cm * math.exp(rng.gauss(0, making.gauge_sd)) for part, per_cm in gauge.items()}
    swatch = {
        part: round(10 * per_cm * math.exp(rng.gauss(0, making.swatch_sd)), 1)
        for part, per_cm in fabric.items()
    }
    measured = {}
    for name, direction, around, _, _ in chosen:
        if rng.random() < making.missing:
            continue
        real = made[name][place] / fabric[direction]
        seen = real + rng.gauss(0, making.tape_cm + making.tape_share * real)
        if rng.random() < making.slips:
            seen /= rng.choice([2.54, 2.0]) if around else 2.54
            truth.slips.add((maker, name))
        measured[name] = f"{max(0.5, round(2 * seen) / 2)} cm"
    return {
        "maker": maker,
        "size": label,
        "gauge": {"main": {**swatch, "over": "10 cm"}},
        "measured": measured,
    }


def score(pairs):
    """Shares over (truth, answer) pairs; None where there is nothing to find."""
    told = [
        (truth.kinds[name], one["verdict"], truth.errors[name], one)
        for truth, answer in pairs
        for name, one in answer["measurements"].items()
    ]
    wrong = [(kind, verdict) for kind, verdict, _, _ in told if kind != "holds"]
    sound = [verdict for kind, verdict, _, _ in told if kind == "holds"]
    off = sorted(abs(a - b) for _, _, errors, one in told for a, b in zip(errors, one["error"], strict=True))
    within = [
        bounds[0] - 1e-6 <= error <= bounds[1] + 1e-6
        for _, _, errors, one in told
        for error, bounds in zip(errors, one["interval"], strict=True)
        if bounds
    ]
    planted = sum(len(truth.slips) for truth, _ in pairs)
    named = [
        {(one["maker"], one["measurement"]) for one in answer["doubtful"]} & truth.slips
        for truth, answer in pairs
    ]
    listed = sum(len(answer["doubtful"]) for _, answer in pairs)
    hits = sum(len(found) for found in named)
    silent = ("holds", "undecided")
    return {
        "found": _share(sum(verdict not in silent for _, verdict in wrong), len(wrong)),
        "right_kind": _share(sum(kind == verdict for kind, verdict in wrong), len(wrong)),
        "false_alarms": _share(sum(verdict not in silent for verdict in sound), len(sound)),
        "undecided": _share(sum(verdict == "undecided" for _, verdict, _, _ in told), len(told)),
        "slips_found": _share(hits, planted),
        "slips_right": _share(hits, listed),
        "median_mm": off[len(off) // 2],
        "ninety_mm": off[int(0.9 * len(off))],
        "within": _share(sum(within), len(within)),
    }


def _share(part, whole):
    return part / whole if whole else None
