"""The fit is asked about where a garment is, and nowhere else."""

from typing import Any

import pytest

from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from testing.asked.figures import Figures
from testing.asked.fit import fit_areas
from tests.grading.beginnings.test_beginnings import CASES, begun
from tests.testing.builders import vest_document

UPPER = ["bust", "hip", "neck", "length"]
BEGUN = {
    "blanket": ["length"],
    "cuff-to-cuff": ["bust", "upper_arm", "hip", "neck", "length"],
    "drop-shoulder": ["bust", "upper_arm", "hip", "neck", "length"],
    "hat": ["round", "length"],
    "mittens": ["round", "length"],
    "raglan": ["bust", "upper_arm", "hip", "neck", "length"],
    "set-in": ["bust", "upper_arm", "hip", "neck", "length"],
    "shawl": ["length"],
    "waistcoat": UPPER,
}


def areas_of(document):
    pattern = read_pattern(document)
    return list(fit_areas(Figures(pattern, grade(pattern))))


def measuring(*labels, body="Bust"):
    """The vest's document, whose finished measurements have these labels alone."""
    values = [
        {
            "name": label.lower().replace(" ", "_"),
            "label": label,
            "kind": "length",
            "list": ["40 cm", "44 cm", "48 cm"],
            "measured": {"how": "Laid flat.", "tolerance": "1 cm", "around": False},
        }
        for label in labels
    ]
    bare: dict[str, list[Any]] = {
        key: [] for key in ("checks", "sections", "yarn_sections", "shapings", "spreads", "curves")
    }
    bodies = {body.lower(): {"label": body, "unit": "cm", "values": [80, 90, 100]}}
    return vest_document(values=values, pieces=[], body=bodies, **bare)


@pytest.mark.parametrize(("key", "table"), CASES)
def test_each_beginning_is_asked_about_what_it_has(key, table):
    assert areas_of(begun(key, table)[0]) == BEGUN[key]


@pytest.mark.parametrize(
    ("labels", "areas"),
    [
        (["Waist", "Hip", "Length"], ["waist", "hip", "length"]),
        (["Skirt length", "Waistband"], ["waist", "hip", "length"]),
        (["Inside leg", "Thigh"], ["hip", "length"]),
        (["Foot length", "Round the ankle", "Cuff"], ["round", "length"]),
        (["Back of the hand"], ["round", "length"]),
        (["Wingspan", "Depth at the middle"], ["length"]),
        (["Length of the back", "Width of the front"], UPPER),
        (["Waist", "Chest", "Skirt length"], ["bust", "waist", "hip", "neck", "length"]),
        ([], UPPER),
    ],
)
def test_a_garment_is_asked_about_what_its_measurements_name(labels, areas):
    assert areas_of(measuring(*labels)) == areas


def test_without_any_measurement_the_bodies_of_the_sizes_tell():
    assert areas_of(measuring(body="Head")) == ["round", "length"]
    assert areas_of(measuring(body="Hip")) == ["hip", "length"]
