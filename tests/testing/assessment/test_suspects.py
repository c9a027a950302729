"""Causes are ranked by what the other lines rule out."""

import pytest

from grading.core.pattern.file import read_pattern
from testing.assessment.suspects import ruled_out, suspects
from testing.verdicts.sentences import cause_sentence

pytestmark = pytest.mark.any_database
LABELS = {
    "yoke_rounds": "Yoke rounds",
    "body_rounds": "Body rounds",
    "yoke_depth": "Yoke depth",
    "underarm": "Underarm to hem",
}


def value(name, **more):
    kind = "rows" if name.endswith("rounds") else "length"
    return {"name": name, "label": LABELS[name], "kind": kind, **more}


PATTERN = read_pattern(
    {
        "format": "evenrow-pattern",
        "format_version": 1,
        "title": "Larkmoss yoke",
        "craft": "knitting",
        "home_units": "cm",
        "home_terms": "US",
        "sizes": ["S", "M"],
        "fabrics": {"main": {"label": "Main", "stitches": 20, "rows": 28, "over": "10 cm"}},
        "values": [
            value("yoke_rounds", list=[60, 64]),
            value("body_rounds", list=[100, 104]),
            value("yoke_depth", formula="yoke_rounds / main.rows"),
            value("underarm", formula="(yoke_rounds + body_rounds) / main.rows"),
        ],
    }
)


def test_a_count_that_a_sound_line_speaks_for_is_no_suspect_and_comes_last():
    verdicts = {"yoke_depth": "holds", "underarm": "shift"}
    assert suspects(PATTERN, verdicts) == {"underarm": ("body_rounds",)}
    assert ruled_out(PATTERN, verdicts) == {"underarm": [("yoke_rounds", "yoke_depth")]}


def test_without_a_sound_line_every_count_is_a_suspect():
    verdicts = {"yoke_depth": "undecided", "underarm": "shift"}
    assert suspects(PATTERN, verdicts) == {"underarm": ("yoke_rounds", "body_rounds")}
    assert ruled_out(PATTERN, verdicts) == {"underarm": []}


def test_the_sentence_names_what_comes_last_and_why():
    found = {
        "verdict": "shift",
        "is_width": False,
        "error": [-20.0, -20.0],
        "sizes": ["S", "M"],
        "suspects": ["body_rounds"],
        "ruled_out": [["yoke_rounds", "yoke_depth"]],
    }
    says = cause_sentence(found, LABELS)
    assert "Look at “Body rounds” and the steps that use them." in says
    assert says.endswith("“Yoke rounds” comes last: Yoke depth depends on it and is right.")
