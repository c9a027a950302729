"""What a maker buys: the same numbers as the calculation, for every choice of every sample."""

import json
from html import unescape
from itertools import product

import pytest
from django.urls import reverse

from catalogue.models import Pattern
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from tests.builders import sample
from tests.catalogue.builders import SAMPLES, make_pattern, make_version

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def combinations(document):
    """Every size with every choice of options, as the page is asked for them."""
    options = document.get("options", [])
    for size in document["sizes"]:
        for chosen in product(*(option["choices"] for option in options)):
            yield size, {option["name"]: choice for option, choice in zip(options, chosen, strict=True)}


@pytest.mark.parametrize("name", SAMPLES)
def test_every_choice_of_every_sample_equals_the_calculation(client, name):
    document = sample(name)
    pattern = make_pattern(name)
    make_version(pattern, number="1.0")
    expected = json.loads(json.dumps(grade(read_pattern(document)).as_json()))
    needs = {json.dumps(one["options"], sort_keys=True): one["colours"] for one in expected["yarn"]}
    seen = 0
    for size, chosen in combinations(document):
        place = document["sizes"].index(size)
        query = {"size": size, **{f"option_{option}": choice for option, choice in chosen.items()}}
        bought = client.get(reverse("needs", args=[pattern.slug]), query).context["to_buy"]
        colours = needs[json.dumps(chosen, sort_keys=True)]
        used = {colour: of for colour, of in colours.items() if of["weight"][place] != 0}
        assert [one.colour for one in bought] == list(used)
        for one in bought:
            of = used[one.colour]
            assert one.balls == of["balls"][place]
            assert one.weight_g == pytest.approx(of["weight"][place], abs=1e-6)  # records keep six places
            assert one.length_m == pytest.approx(of["length"][place], abs=1e-6)
            seen += 1
    assert seen >= len(document["sizes"])


def test_shade_boxes_stand_for_the_colours_that_are_used_and_say_what_for(client):
    pattern = make_pattern("thistledrift_waistcoat")
    make_version(pattern, number="1.0")
    url = reverse("needs", args=[pattern.slug])
    striped = client.get(url, {"option_colours": "striped"}).content.decode()
    assert [colour in striped for colour in ("shade_A", "shade_B", "shade_C")] == [True] * 3
    assert "Each shade box stands for one yarn." in striped
    solid = client.get(url, {"option_colours": "solid"}).content.decode()
    assert [colour in solid for colour in ("shade_A", "shade_B", "shade_C")] == [True, False, False]


def test_a_pattern_of_one_colour_has_no_shade_box(client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    page = client.get(reverse("needs", args=[pattern.slug])).content.decode()
    assert "shade_" not in page
    assert "shade box" not in page


def test_amounts_are_printed_in_the_units_asked_for(client):
    pattern = make_pattern("puffinbay_child")
    make_version(pattern, number="1.0")
    url = reverse("needs", args=[pattern.slug])
    metric, inches = (client.get(url, {"units": units}) for units in ("cm", "in"))
    one, other = metric.context["to_buy"][0], inches.context["to_buy"][0]
    assert one.length_words.endswith(" m")
    assert other.length_words.endswith(" yd")
    assert not metric.cookies


def test_stripes_are_drawn_in_the_makers_shades(client):
    pattern = make_pattern("thistledrift_waistcoat")
    make_version(pattern, number="1.0")
    url = reverse("needs", args=[pattern.slug])
    shades = {"shade_A": "#102030", "shade_B": "#AABBCC", "shade_C": "#ddeeff"}
    page = client.get(url, {"option_colours": "striped", "size": "M", **shades})
    drawn = page.content.decode()
    assert drawn.count("#102030") > 3
    assert {bar.size for sheet in page.context["stripe_sheets"] for bar in sheet["of"].bars} == {"M"}


@pytest.mark.parametrize(
    "query",
    [{"size": "99"}, {"option_colours": "x"}, {"shade_A": "red\x00"}, {"units": "ells"}, {"shade_A": "#12"}],
)
def test_what_there_is_not_falls_back_to_the_usual(client, query):
    pattern = make_pattern("thistledrift_waistcoat")
    make_version(pattern, number="1.0")
    page = client.get(reverse("needs", args=[pattern.slug]), query)
    assert page.status_code == 200
    assert page.context["to_buy"]
    assert Pattern.objects.count() == 1


def test_the_page_names_balls_tools_and_notions_of_the_size(client):
    pattern = make_pattern("puffinbay_child")
    make_version(pattern, number="1.0")
    sizes = sample("puffinbay_child")["sizes"]
    first, last = (
        client.get(reverse("needs", args=[pattern.slug]), {"size": size}) for size in (sizes[0], sizes[-1])
    )
    (one, *_) = first.context["to_buy"]
    assert " g = " in one.label
    assert first.context["tools"]
    assert all("mm" in line for line in first.context["tools"])
    assert "buttons, 18 mm" in first.context["notions"][0]
    assert first.context["notions"] != last.context["notions"]  # a large jacket takes more of them
    page = first.content.decode()
    for line in (*first.context["tools"], *first.context["notions"]):
        assert line in unescape(page)
