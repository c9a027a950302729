"""Random sheets of formulas: most fit their dimension, some do not, and some are torn apart."""

import operator
import re
from functools import partial

from tests.grading.oracle.formulas import AREA, KINDS, LENGTH, PLAIN, ROW, STITCH, WEIGHT, YARN

SHEET = {
    "format": "evenrow-pattern",
    "format_version": 1,
    "title": "Random",
    "craft": "crochet",
    "home_units": "cm",
    "home_terms": "UK",
    "sizes": ["S", "M", "L"],
    "body": {
        "bust": {"label": "Bust girth", "unit": "cm", "values": [80, 90.5, None]},
        "hip": {"label": "Hip girth", "unit": "in", "values": [30, 35.5, 40]},
    },
    "fabrics": {
        "main": {"label": "Main", "stitches": 14, "rows": 9.5, "over": "4 in", "multiple": 4, "plus": 1}
    },
    "curves": [{"name": "bend", "width": "wide", "depth": "tall", "shape": "straight", "fabric": "main"}],
    "pick_ups": [{"name": "picked", "along": "stitches", "count": "wide", "ratio": "2 per 3"}],
}
GIVEN = [
    {"name": "wide", "label": "Wide", "kind": "stitches", "list": [20, 0, 31]},
    {"name": "tall", "label": "Tall", "kind": "rows", "list": [8, 10, 12]},
    {"name": "times", "label": "Times", "kind": "count", "list": [0, 2, 3]},
    {"name": "share", "label": "Share", "kind": "ratio", "list": [-1.5, 2.5, 0.3]},
    {"name": "heavy", "label": "Heavy", "kind": "weight", "list": ["5 g", "1 oz", None]},
    {"name": "thread", "label": "Thread", "kind": "yarn", "list": ["5 m yarn", "10 yd yarn", "3 m yarn"]},
    {"name": "surface", "label": "Surface", "kind": "area", "formula": "wide * tall"},
]
ATOMS = {
    LENGTH: ["bust", "hip", "4 in", "2.5 cm", "25 mm", "0.3 m", "1 ft", "bend.length"],
    STITCH: ["wide", "12 stitches", "1 stitch", "picked", "main.multiple", "main.plus"],
    ROW: ["tall", "3 rows", "1 row"],
    PLAIN: ["times", "share", "2", "1.5", "50 %", "size_number", "0.5"],
    WEIGHT: ["heavy", "5 g", "1 oz", "0.2 kg"],
    YARN: ["thread", "5 m yarn", "3 yd yarn"],
    AREA: ["surface"],
    (-1, 1, 0, 0, 0): ["main.stitches"],
    (-1, 0, 1, 0, 0): ["main.rows"],
}
SCRAPS = [*"*+()=<,.%", *re.findall(r"\w+", "if then else and or not cm stitches rows 0 2 yarn m bust main")]


def times(first, second):
    """The dimension of a product."""
    return tuple(map(operator.add, first, second))


def over(first, second):
    """The dimension of a quotient."""
    return tuple(map(operator.sub, first, second))


def number(rng, wanted, depth):
    """A formula of a dimension, now and then of another."""
    if rng.random() < 0.03:
        wanted = rng.choice(list(ATOMS))
    if rng.random() < 0.08:
        return "0"
    if wanted in ATOMS and (depth <= 0 or rng.random() < 0.25):
        return rng.choice(ATOMS[wanted])
    if depth < -3:
        return "1"
    return rng.choice(SHAPES)(rng, wanted, partial(number, rng, depth=depth - 1), depth - 1)


def added(rng, wanted, inner, _):
    joined = f"{inner(wanted)} {rng.choice('+-')} {inner(wanted)}"
    return f"({joined})" if rng.random() < 0.6 else joined


def multiplied(rng, wanted, inner, _):
    other = rng.choice(list(ATOMS))
    if rng.random() < 0.5:
        return f"({inner(other)}) * ({inner(over(wanted, other))})"
    return f"({inner(times(wanted, other))}) / ({inner(other)})"


def chosen(rng, wanted, inner, depth):
    return f"(if {condition(rng, depth)} then {inner(wanted)} else {inner(wanted)})"


def called(rng, wanted, inner, _):
    name = rng.choice(["min", "max", "sum", "abs", "round", "even", "odd", "ceiling", "floor", "sqrt", "-"])
    if name == "sqrt":
        return f"sqrt({inner(times(wanted, wanted))})"
    if name in {"min", "max", "sum"} or (name in {"ceiling", "floor"} and rng.random() < 0.7):
        return f"{name}({inner(wanted)}, {inner(wanted)})"
    return f"{name}({inner(wanted)})"


SHAPES = [added, multiplied, chosen, called]


def condition(rng, depth):
    """A comparison, or several joined."""
    if depth <= 0 or rng.random() < 0.6:
        of = rng.choice([LENGTH, STITCH, ROW, PLAIN, WEIGHT])
        sign = rng.choice(["<", "<=", ">", ">=", "=", "<>"])
        return f"{number(rng, of, depth - 1)} {sign} {number(rng, of, depth - 1)}"
    first, second = condition(rng, depth - 1), condition(rng, depth - 1)
    return rng.choice([f"({first}) and {second}", f"{first} or not ({second})", f"not {first}"])


def torn(rng, formula):
    """Now and then a formula with a scrap too many or too few."""
    if rng.random() > 0.15:
        return formula
    parts = re.findall(r"\d+(?:\.\d+)?|\w+\.\w+|\w+|<=|>=|<>|\S", formula)
    place = rng.randrange(len(parts))
    parts[place : place + rng.choice([0, 1])] = rng.choice([[], [rng.choice(SCRAPS)]])
    return " ".join(parts)


def random_sheet(rng):
    """A pattern file of random values and checks."""
    values, checks = list(GIVEN), []
    for place in range(12):
        kind = rng.choice(list(KINDS))
        formula = torn(rng, number(rng, KINDS[kind], rng.randint(0, 3)))
        values.append({"name": f"value_{place}", "label": "Value", "kind": kind, "formula": formula or "0"})
    for place in range(4):
        holds = torn(rng, condition(rng, rng.randint(0, 2))) or "0"
        checks.append({"name": f"check_{place}", "holds": holds, "says": "No.", "weight": "warn"})
    return {**SHEET, "values": values, "checks": checks}
