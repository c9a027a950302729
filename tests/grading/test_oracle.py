"""The core against a second, plain grading of the same files: number by number, finding by finding."""

import copy
import json
import random
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from grading.core.formula.errors import PatternFileError
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from tests.grading.oracle.judge import differences
from tests.grading.oracle.random_formulas import random_sheet
from tests.grading.yarn_by_choice import coloured_by_choice, read_demo

pytestmark = pytest.mark.any_database

DATA = Path(__file__).resolve().parents[1] / "data"
FILES = sorted(
    [*(DATA / "garments").glob("*.json"), *(DATA.parents[1] / "catalogue" / "site" / "demo").glob("*.json")]
)
GARMENTS = [path for path in FILES if path.stem != "twitewell_hat"]  # 256 combinations take a second each
NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?")
FACTORS = [0, 0.25, 0.5, 0.9, 1.01, 1.1, 1.37, 2, 3]


def read(path):
    return json.loads(path.read_text(encoding="utf-8"))


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_both_gradings_agree(path):
    pattern = read(path)
    assert differences(pattern, grade(read_pattern(pattern)).as_json()) == []


def test_both_gradings_agree_on_parts_that_are_coloured_by_a_choice():
    pattern = PATTERNS["coloured_by_choice"]
    assert differences(pattern, grade(read_pattern(pattern)).as_json()) == []
    for row in ({"option": "colors", "choice": "solid"}, {"option": "colours", "choice": "plain"}):
        wrong = copy.deepcopy(pattern)
        wrong["yarn_sections"][1]["by_choice"].append({**row, "colour": "A"})
        assert differences(wrong, grade(read_pattern(wrong)).as_json()) == []


def test_both_gradings_agree_on_what_was_settled():
    pattern = copy.deepcopy(PATTERNS["brackenmere_pullover"])
    for measured in [value["measured"] for value in pattern["values"] if "measured" in value]:
        measured |= {"tolerance": "0.01 cm", "compares_to": "bust", "ease": ["90 cm", "91 cm"]}
    assert "bust" in pattern["body"]
    fails: dict[str, Any] = {"name": "never", "holds": "1 = 2", "says": "It fails.", "weight": "warn"}
    pattern["checks"] = [*pattern.get("checks", []), fails]
    before = grade(read_pattern(copy.deepcopy(pattern))).as_json()["findings"]
    few = pattern["sizes"][::2]
    for value in pattern["values"]:
        whats = ("ease", "rounding", "multiple", "may_shrink", "may_jump")
        rows = [{"what": what, "sizes": few, "why": "So."} for what in whats]
        value["settled"] = rows
    fails["settled"] = [{"sizes": few, "why": "So."}]
    graded = grade(read_pattern(pattern)).as_json()
    assert differences(pattern, graded) == []
    gone = [one for one in before if one not in graded["findings"]]
    assert {one["where"] for one in gone} > {"checks.never"}
    assert {one["says"].split()[0] for one in gone} >= {"It", "The", "Rounding"}
    assert {one["size"] for one in gone} <= set(few)


def numbers_in(tree, path=()):
    """The places of all numbers in the parts of a file that are calculated."""
    if isinstance(tree, dict):
        skipped = {
            "how",
            "says",
            "note",
            "label",
            "format_version",
            "sections",
            "sizes",
            "over",
            "ratio",
            "base_size",
        }
        skipped |= {
            "name",
            "title",
            "summary",
            "colour",
            "tool_mm",
            "notions",
            "shape",
            "when",
            "options",
            "pieces",
        }
        for key, child in tree.items():
            if key not in skipped:
                yield from numbers_in(child, (*path, key))
    elif isinstance(tree, list):
        for place, child in enumerate(tree):
            yield from numbers_in(child, (*path, place))
    elif (isinstance(tree, int | float) and not isinstance(tree, bool)) or (
        isinstance(tree, str) and NUMBER.search(tree)
    ):
        yield path


def changed(entry, factor):
    """The same entry with its (first) number made larger or smaller."""
    if entry is None:
        return None
    if isinstance(entry, str):
        return NUMBER.sub(lambda found: f"{float(found[0]) * factor:.4f}", entry, count=1)
    new = round(entry * factor, 4)
    return int(new) if isinstance(entry, int) else new


def mutate(pattern, changes):
    """The pattern with some of its numbers changed, and perhaps one entry left out."""
    places = list(numbers_in(pattern))
    for place, factor in changes:
        *parents, last = places[place % len(places)]
        inner = pattern
        for key in parents:
            inner = inner[key]
        blankable = parents and parents[-1] in {"list", "values"} and isinstance(last, int)
        inner[last] = None if factor is None and blankable else changed(inner[last], factor or 0)
    return pattern


CHANGES = st.lists(st.tuples(st.integers(0, 2000), st.sampled_from([None, *FACTORS])), min_size=1, max_size=6)
PATTERNS = {path.stem: read(path) for path in GARMENTS}
PATTERNS["coloured_by_choice"] = coloured_by_choice(read_demo("thistledrift_waistcoat"))


@pytest.mark.parametrize("examples", [60])
def test_both_gradings_agree_when_numbers_change(examples, full):
    @settings(
        max_examples=3000 if full else examples,
        deadline=None,
        derandomize=not full,
        suppress_health_check=[HealthCheck.filter_too_much, HealthCheck.too_slow],
    )
    @given(st.sampled_from(sorted(PATTERNS)), CHANGES)
    def agree(name, changes):
        pattern = mutate(copy.deepcopy(PATTERNS[name]), changes)
        try:
            read_by_core = read_pattern(pattern)
        except PatternFileError:
            assume(False)
        assert differences(pattern, grade(read_by_core).as_json()) == []

    agree()


def test_both_gradings_agree_on_random_formulas(full, count_proof):
    rng = random.Random(12)
    sheets = 4000 if full else 150
    for _ in range(sheets):
        pattern = random_sheet(rng)
        assert differences(pattern, grade(read_pattern(pattern)).as_json(), repeats=False) == []
    count_proof("formulas graded twice", sheets * 16)
