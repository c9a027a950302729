"""What is said where typed numbers take the place of a formula: which counts a measurement came from."""

from typing import Any

import numpy as np

from grading.core.formula.dimensions import COUNT_KINDS
from grading.core.grade.grade import Graded
from grading.core.pattern.parts import label_of
from grading.sheets.documents import Document, entries_of
from grading.sheets.naming import names_in


def counts_behind(entry: dict[str, Any], document: Document) -> list[dict[str, Any]]:
    """The counts that a measurement is worked out from, nearest first; none for any other line."""
    values = dict(entries_of(document, "values"))
    found: dict[str, dict[str, Any]] = {}
    seen: set[str] = set()
    waiting = [entry] if entry["kind"] == "length" and "formula" in entry else []
    while waiting:
        formula = {"formula": waiting.pop(0).get("formula", "")}
        for name in names_in("values", formula):
            if name in values and name not in seen:
                seen.add(name)
                if values[name]["kind"] in COUNT_KINDS:
                    found[name] = values[name]
                else:
                    waiting.append(values[name])
    return list(found.values())


def largest_first(counts: list[dict[str, Any]], graded: Graded) -> list[dict[str, Any]]:
    """Put the count that makes most of a measurement first: the one with the largest number."""

    def largest(one: dict[str, Any]) -> float:
        worked = graded.values[one["name"]].worked if one["name"] in graded.values else np.array([])
        return float(np.max(worked[np.isfinite(worked)], initial=0.0))

    return sorted(counts, key=largest, reverse=True)


def note_of_list(entry: dict[str, Any], counts: list[dict[str, Any]]) -> str:
    """Which formula, or which steps from size to size, give way to a list, and what does not follow it."""
    went = (
        f"the formula {entry['formula']} becomes"
        if "formula" in entry
        else "its steps from size to size become"
    )
    says = f"{label_of(entry)}: {went} a list."
    if not counts:
        return f"{says} A list does not change with other lines."
    first, *others = [f"“{label_of(one)}”" for one in counts]
    if not others:
        return f"{says} The piece is worked by {first}, which does not change: change that one instead."
    named = f"{', '.join([first, *others[:-1]])} and {others[-1]}"
    return f"{says} The piece is worked by {named}, and these do not change: change {first} instead."
