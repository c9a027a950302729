"""Builders of small pattern files for the tests of the calculation."""

from typing import Any

from grading.core.grade.grade import Graded, WorkedOut, grade
from grading.core.pattern.file import read_pattern

Typed = dict[str, Any]
MAIN = {"label": "Main", "stitches": 20, "rows": 28, "over": "10 cm", "tool_mm": 4}


def value(name: str, formula: str | None = None, *, kind: str = "length", **more: Any) -> Typed:
    typed = {"name": name, "label": name.replace("_", " ").capitalize(), "kind": kind}
    return {**typed, **({} if formula is None else {"formula": formula}), **more}


def measured(**more: Any) -> Typed:
    return {"how": "Straight across.", "tolerance": "2 cm", "around": False, **more}


def pattern_file(*values: Typed, sizes: list[str] | None = None, **more: Any) -> Typed:
    sizes = sizes or ["S", "M", "L"]
    bust = {"label": "Bust girth", "unit": "cm", "values": [80 + 10 * i for i in range(len(sizes))]}
    return {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Larkmoss Trial",
        "craft": "knitting",
        "home_units": "cm",
        "home_terms": "UK",
        "sizes": sizes,
        "body": {"bust": bust},
        "fabrics": {"main": MAIN},
        "values": list(values),
        **more,
    }


def graded(*values: Typed, **more: Any) -> WorkedOut:
    return grade(read_pattern(pattern_file(*values, **more)))


def worked(of: Graded, name: str) -> list[float | None]:
    numbers: list[float | None] = of.as_json()["values"][name]["worked"]
    return numbers


def evaluated(formula: str, *, kind: str = "ratio", **more: Any) -> list[float | None]:
    """What a formula gives for the sizes S, M, L (bust 80, 90, 100 cm; 20 stitches and 28 rows to 10 cm)."""
    exact: list[float | None] = graded(value("x", formula, kind=kind), **more).as_json()["values"]["x"][
        "exact"
    ]
    return exact


def found(of: Graded, where: str) -> list[tuple[str | None, str, str]]:
    return [(one.size, one.weight, one.says) for one in of.findings if one.where == where]
