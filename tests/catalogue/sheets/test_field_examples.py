"""What the help of a field gives as an example can be typed into an empty pattern, letter for letter."""

from typing import Any

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from tests.builders import make_person
from tests.catalogue.desk_work import fresh, load
from tests.sent_forms import send_form

pytestmark = pytest.mark.django_db

EMPTY: dict[str, Any] = {"body": {}, "fabrics": {}, "values": [], "checks": [], "sections": []}
YARNS = [
    {"colour": "A", "label": "Larkmoss Orrendale, DK"},
    {"colour": "B", "label": "Larkmoss Orrendale, DK"},
]
FABRICS = {"main": {"label": "Half double crochet", "stitches": 14, "rows": 10, "over": "10 cm"}}
# Examples that are a part of what is typed stand with the rest of it; what is no example is in NEEDED.
EXAMPLES: dict[str, dict[str, str]] = {
    "body": {"label": "Bust girth", "unit": "cm"},
    "fabrics": {
        "label": "Half double crochet", "stitches": "14", "rows": "10", "over": "10 cm", "multiple": "4",
        "plus": "1", "tool_mm": "5", "swatch__stitches": "20", "swatch__rows": "14", "swatch__weight": "12.6",
    },
    "values": {
        "label": "Back, stitches", "formula": "50 cm", "round__to": "nearest", "round__multiple": "0.5 cm",
        "measured__how": "Round the body, just below the armholes.", "measured__tolerance": "2 cm",
        "note": "From the sample",
    },
    "checks": {
        "name": "Sleeve fits armhole", "holds": "50 cm <= 60 cm", "weight": "stop",
        "says": "Sleeve and armhole differ: change the armhole rows.",
    },
    "shapings": {
        "name": "Sleeve taper", "from_typed": "60", "to_typed": "40", "over_typed": "80", "each_typed": "2",
        "on_every": "2", "first_typed": "3", "plain_end_typed": "2", "words": "Sc2tog at both ends",
    },
    "spreads": {
        "name": "Increase above the rib", "change_typed": "−8", "in_typed": "72", "of": "V-st", "each": "3",
    },
    "curves": {"name": "Front neck", "width_typed": "12", "depth_typed": "10", "every": "2"},
    "pick_ups": {
        "name": "Front band", "count_typed": "90", "ratio": "3 per 4", "edge": "45 cm",
        "round__to": "nearest", "round__multiple": "2",
    },
    "options": {"label": "Sleeves", "choices": "Long", "default": "Long"},
    "yarns": {
        "colour": "A", "label": "Larkmoss Orrendale, DK", "length_per_100g": "220 m", "put_up": "50 g",
        "yarn_weight": "3", "shade": "Peat",
    },
    "stripes": {"name": "Body stripes", "start_typed": "6", "forward_share": "0.46"},
    "yarn_sections": {
        "name": "Back and front", "worked": "60 stitches * 80 rows", "colour": "A", "extra": "5 g",
    },
    "pieces": {"label": "Back", "side_width_typed": "50 cm", "side_height_typed": "60 cm"},
}  # fmt: skip
NEEDED: dict[str, dict[str, str]] = {
    "body": {"values__0": "84", "values__1": "92", "values__2": "100"},
    "stripes": {"sequence-0-0": "A", "sequence-0-1": "4", "sequence-1-0": "B", "sequence-1-1": "2"},
    "options": {"choices": "Long\nShort"},
    "pieces": {"shape": "rectangle"},
    "yarn_sections": {"fabric": "main"},
}
# What has to be there before, as the help of the part says.
BEFORE: dict[str, Any] = {"stripes": {"yarns": YARNS}, "yarn_sections": {"fabrics": FABRICS, "yarns": YARNS}}


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


@pytest.mark.parametrize("part", EXAMPLES)
def test_the_examples_of_the_helps_are_saved_in_an_empty_pattern(client, designer, part):
    pattern = load(**{**EMPTY, **BEFORE.get(part, {})})
    address = reverse("entry_new", args=[pattern.slug, part])
    form = client.get(address).context["form"]
    for key, example in EXAMPLES[part].items():
        help_text = form.fields[key.removesuffix("_typed")].help_text
        assert example in help_text or key == "unit", (key, help_text)
    answer = send_form(client, address, **{**EXAMPLES[part], **NEEDED.get(part, {})})
    assert answer.status_code == 302, answer.context["form"].errors
    assert len(pattern_document(fresh(pattern))[part]) == 1


@pytest.mark.parametrize(("unit", "over"), [("cm", "10 cm"), ("in", "4 in")])
def test_a_new_entry_begins_in_the_units_of_its_pattern(client, designer, unit, over):
    pattern = load(**EMPTY, home_units=unit)
    fields = {
        part: client.get(reverse("entry_new", args=[pattern.slug, part])).context["form"]
        for part in ("body", "fabrics")
    }
    assert (fields["body"]["unit"].value(), fields["fabrics"]["over"].value()) == (unit, over)


def test_what_has_to_be_added_first_is_said(client, designer):
    pattern = load(**EMPTY)
    said: dict[str, list[str]] = {}
    for part in ("yarn_sections", "joins"):
        answer = send_form(client, reverse("entry_new", args=[pattern.slug, part]))
        said |= answer.context["form"].errors
    assert said["fabric"] == ["There is no fabric yet: add one under Fabrics first."]
    assert said["edges"] == [
        "There is nothing to join yet: add a piece with sides, a pick-up or a length first."
    ]
