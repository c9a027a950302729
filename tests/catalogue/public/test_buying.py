"""What a maker buys: the same numbers as the calculation, for every choice of every sample."""

import json
import re
from html import unescape
from itertools import product

import pytest
from django.urls import reverse

from catalogue.editions.ingredients import EditionFailed, RenderedPdf
from catalogue.models import Pattern
from catalogue.public import your_size
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern
from tests.builders import sample
from tests.catalogue.builders import SAMPLES, edit, make_pattern, make_version
from tests.present import present

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
    assert "Each shade box is for one yarn." in striped
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
    # 1 oz = 28.35 g: the ounces are those of the grams, up to the next quarter, as the PDF has them.
    ounces, grams = present(re.fullmatch(r"([\d¼½¾]+) oz \((\d+) g\)", other.weight_words)).groups()
    assert one.weight_words == f"{grams} g"
    quarters = int(ounces.rstrip("¼½¾") or 0) * 4 + " ¼½¾".index(ounces[-1] if ounces[-1] in "¼½¾" else " ")
    assert 0 <= quarters - one.weight_g / 28.349523125 * 4 < 1


@pytest.mark.parametrize(("terms", "said", "other"), [("US", "color", "colour"), ("UK", "colour", "color")])
def test_the_page_spells_as_its_terms_do(client, terms, said, other):
    pattern = make_pattern("thistledrift_waistcoat")
    make_version(pattern, number="1.0")
    query = {"size": "M", "option_colours": "striped", "terms": terms}
    page = client.get(reverse("needs", args=[pattern.slug]), query).content.decode()
    assert f"Choose the {said} of your own" in page
    assert f"Size M, with pockets and in striped {said}s." in " ".join(page.split())
    assert f"in {said}" in page  # of the print
    assert f"in {other}" not in page
    assert f"the {other} of" not in page


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
    assert "mm" in first.context["tools"][0]
    assert first.context["notions"][0] == "27.5 cm hook-and-loop tape, to sew on, 20 mm wide"
    assert first.context["notions"] != last.context["notions"]  # a large jacket has buttons
    page = first.content.decode()
    for line in (*first.context["tools"], *first.context["notions"]):
        assert line in unescape(page)


def free_pattern(name="thistledrift_waistcoat"):
    """A free pattern with a release."""
    pattern = make_pattern(name)
    make_version(pattern, number="1.0")
    Pattern.objects.filter(pk=pattern.pk).update(is_free=True)
    return pattern


def test_a_visitor_picks_size_options_and_shades_of_a_free_pattern_and_gets_their_pdf(client, monkeypatch):
    asked = []

    def render(*, record, choices):
        asked.append(choices)
        return RenderedPdf(b"%PDF-1.7", 1, "", "", {})

    monkeypatch.setattr(your_size, "render_edition", render)
    pattern = free_pattern()
    page = client.get(reverse("needs", args=[pattern.slug])).content.decode()
    address = reverse("your_size", args=[pattern.slug])
    assert f'formaction="{address}"' in page
    query = {
        "size": "L", "option_pockets": "no", "option_colours": "striped", "shade_A": "#4A3728", "units": "in",
        "paper": "Letter", "terms": "UK", "print": "stone",
    }  # fmt: skip
    answer = client.get(address, query)
    assert answer["Content-Type"] == "application/pdf"
    assert answer["Content-Disposition"].endswith('-1.0-size-l.pdf"')
    assert not answer.cookies
    assert asked == [
        {
            "hand": "right", "units": "in", "terms": "UK", "sizes": "L", "print": "screen", "paper": "Letter",
            "options": "colours=striped;pockets=no", "shades": "A#4a3728",
        }
    ]  # fmt: skip


def test_a_left_hand_pdf_of_one_size_is_offered_where_there_can_be_one(client, monkeypatch):
    hands = []

    def render(*, record, choices):
        hands.append(choices["hand"])
        return RenderedPdf(b"%PDF-1.7", 1, "", "", {})

    monkeypatch.setattr(your_size, "render_edition", render)
    pattern = free_pattern()
    page = unescape(client.get(reverse("needs", args=[pattern.slug]), {"size": "M"}).content.decode())
    assert "Your hand" in page
    assert "no left-hand PDF" not in page
    for asked in ({}, {"hand": "left"}, {"hand": "third"}):
        client.get(reverse("your_size", args=[pattern.slug]), {"size": "M", **asked})
    assert hands == ["right", "left", "right"]
    read = client.get(reverse("read_your_size", args=[pattern.slug]), {"size": "M", "hand": "left"})
    assert "For left-handed makers." in read.content.decode()


def test_a_maker_reads_why_there_is_no_left_hand_pdf(client, monkeypatch):
    hands = []

    def render(*, record, choices):
        hands.append(choices["hand"])
        return RenderedPdf(b"%PDF-1.7", 1, "", "", {})

    monkeypatch.setattr(your_size, "render_edition", render)
    turned, unmarked = make_pattern(), make_pattern("thistledrift_waistcoat")

    def name_a_side(document):
        document["sections"][1]["steps"][0] += " Join new yarn at the right edge."

    edit(unmarked, name_a_side)
    says = {turned: "stitches and counts read the same for both hands. Worked left-handed, each piece comes "
                    "out as a mirror image: read left for right,",
            unmarked: "the words of Back, step 1 name a side that can’t be exchanged."}  # fmt: skip
    for pattern, why in says.items():
        make_version(pattern)
        Pattern.objects.update(is_free=True)
        page = unescape(client.get(reverse("needs", args=[pattern.slug])).content.decode())
        assert f"There is no left-hand PDF: {why}" in page
        for_visitors = unescape(client.get(reverse("pattern_page", args=[pattern.slug])).content.decode())
        assert f"There is no left-hand PDF: {why}" in for_visitors
        assert ("and shoulders change sides with it." in for_visitors) == (pattern is turned)
        assert "Your hand" not in page
        client.get(reverse("your_size", args=[pattern.slug]), {"size": "M", "hand": "left"})
    assert hands == ["right", "right"]


def test_nobody_but_the_studio_picks_a_size_of_a_pattern_that_is_sold(client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    address = reverse("your_size", args=[pattern.slug])
    assert client.get(address).status_code == 404
    assert address not in client.get(reverse("needs", args=[pattern.slug])).content.decode()


def test_a_pdf_that_can_t_be_made_says_why_and_leads_back_to_what_was_chosen(client, monkeypatch):
    def fail(**_):
        raise EditionFailed("The photo is gone: add it again.")

    monkeypatch.setattr(your_size, "render_edition", fail)
    pattern = free_pattern()
    answer = client.get(reverse("your_size", args=[pattern.slug]), {"size": "M", "units": "in"})
    assert answer.status_code == 503
    page = unescape(answer.content.decode())
    assert "The photo is gone: add it again." in page
    assert f"{reverse('needs', args=[pattern.slug])}?size=M&units=in" in page


def test_one_visitor_can_t_have_pdfs_made_without_end(client, monkeypatch):
    monkeypatch.setattr(your_size, "count", lambda *_: None)
    pattern = free_pattern()
    answer = client.get(reverse("your_size", args=[pattern.slug]))
    assert answer.status_code == 429
    assert "wait a few minutes" in answer.content.decode()
