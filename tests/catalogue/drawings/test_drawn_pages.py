"""The pages of pieces and stripes on the desk, the public page, and both in print."""

import io

import pypdf
import pytest
from django.urls import reverse

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import render_pdf
from catalogue.materials.yarns import choose_yarns
from tests.builders import make_person
from tests.catalogue.builders import make_pattern, make_record, make_version
from tests.catalogue.desk_work import load
from tests.catalogue.materials.test_yarns_pages import make_yarn
from tests.pages import page_text

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def page_of(client, name, pattern, **asked):
    answer = client.get(reverse(name, args=[pattern.slug]), asked)
    assert answer.status_code == 200
    return page_text(answer)


def choose_shades(pattern):
    yarn = make_yarn(Peat="#4a3728", Thistle="#8d6a9f", Oat="#d9c7a3")
    shades = {shade.name: shade for shade in yarn.shades.all()}
    chosen = {colour: (yarn, shades[name]) for colour, name in zip("ABC", shades, strict=True)}
    choose_yarns(pattern=pattern, chosen=chosen)


def test_pieces_are_drawn_with_key_and_nest(client, designer):
    page = page_of(client, "pieces", load("brackenmere_pullover"))
    assert page.count('class="outline"') == 3
    assert "Chest (half of the measurement all round): 42.75 (48.5, 52.75, 58.5)" in page
    assert "Back in the sizes XS, M, XL, 3X, 5X, one inside the other" in page
    assert "5 of 9 sizes" in page


def test_pieces_of_one_size_are_in_the_persons_units(client, designer):
    designer.units = "in"
    designer.save()
    page = page_of(client, "pieces", load("brackenmere_pullover"), size="M")
    assert "outline-nest" not in page
    assert "20¾ in" in page  # derived: 52.86 cm / 2.54 = 20.8 in, to the nearest quarter
    assert "Size M" in page


def test_a_size_that_there_is_not_shows_all(client, designer):
    assert "5 of 9 sizes" in page_of(client, "pieces", load("brackenmere_pullover"), size="nought")


def test_a_pattern_without_pieces_says_what_to_do_first(client, designer):
    assert "No piece is drawn yet" in page_of(client, "pieces", load())


def test_a_piece_that_cannot_be_drawn_is_named_with_its_finding(client, designer):
    piece = {
        "name": "back",
        "label": "Back",
        "outline": [["0 cm", "0 cm"], ["chezt", "0 cm"], ["0 cm", "9 cm"]],
    }
    page = page_of(client, "pieces", load(pieces=[piece]))
    assert "Back can&#x27;t be drawn in any size" in page or "Back can't be drawn in any size" in page
    assert "chezt" in page


def test_the_stripe_plan_has_bars_table_and_verdict(client, designer):
    pattern = load("thistledrift_waistcoat")
    plain = page_of(client, "stripe_plan", pattern)
    assert "The stripes are grey until" in plain
    choose_shades(pattern)
    page = page_of(client, "stripe_plan", pattern)
    assert page.count("stripe-bar") == 7 + 4
    assert "easy to tell apart" in page
    assert "A, rows begun in it" in page
    assert page_of(client, "stripe_plan", pattern, size="M").count("stripe-bar") == 1 + 4


def test_a_pattern_without_stripes_says_so(client, designer):
    assert "No part of this pattern is worked in stripes" in page_of(client, "stripe_plan", load())


def test_drawn_pages_are_only_looked_at(client, designer):
    pattern = load()
    for name in ("pieces", "stripe_plan"):
        assert client.post(reverse(name, args=[pattern.slug])).status_code == 405


def test_drawn_pages_ask_the_database_little(client, designer, django_assert_max_num_queries):
    pattern = load("thistledrift_waistcoat")
    choose_shades(pattern)
    for name in ("pieces", "stripe_plan"):
        with django_assert_max_num_queries(45):
            page_of(client, name, pattern)


@pytest.mark.usefixtures("quick_pdf")
def test_visitors_see_the_pieces_of_a_release_in_their_units(client):
    version = make_version(make_pattern("brackenmere_pullover"))
    answer = client.get(reverse("pattern_page", args=[version.pattern.slug]), {"units": "in"})
    page = page_text(answer)
    assert page.count('class="outline"') == 3
    assert "Neck width: 7¼ (7¼, 7¼, 7¾) [7¾, 7¾, 8½] (8½, 8½) in" in page


@pytest.fixture(scope="module")
def printed(django_db_setup, django_db_blocker):
    """The waistcoat printed once, with shades."""
    from django.db import transaction

    with django_db_blocker.unblock(), transaction.atomic():
        pattern = make_pattern("thistledrift_waistcoat")
        choose_shades(pattern)
        record = make_record(pattern)
        transaction.set_rollback(True)
    return pypdf.PdfReader(io.BytesIO(render_pdf(record=record, choices=home_choices(record)).content))


def text_of(reader):
    return " ".join(" ".join(page.extract_text().split()) for page in reader.pages)


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
def test_schematics_are_printed_with_all_numbers(printed):
    text = text_of(printed)
    assert "Schematics" in text
    assert "Right front; the left mirrors it" in text
    # derived: length from shoulder, as the table of measurements has it
    assert "Length from shoulder: 51.5 (52.5, 54, 55, 56.5, 57.5, 59) cm" in text


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
def test_the_stripe_plan_is_printed_with_shades_and_totals(printed):
    text = text_of(printed)
    assert "Stripe plan" in text
    assert "Larkmoss Skeinbury, Thistle" in text
    assert "Rows in all 74 76 78 80 82 84 86 Last stripe, rows and color 2 A 2 C 4 C 2 B 2 A 4 A 6 A" in text
    assert "The stripes are grey" not in text


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
def test_a_shade_that_the_label_names_is_not_named_twice(printed):
    assert "A Larkmoss Skeinbury, DK, 100 % wool, shade Peat; 50 g = 110 m" in text_of(printed)


@pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples")
def test_every_drawing_has_words_for_those_who_cannot_see_it(printed):
    figures = [
        one for one in structure(printed.trailer["/Root"]["/StructTreeRoot"]) if one.get("/S") == "/Figure"
    ]
    words = [str(one.get("/Alt", "")) for one in figures]
    assert all(words)
    assert any(one.startswith("Back, size L, drawn to scale. 1 Chest, buttoned") for one in words)
    assert any("sizes end after these rows: XS 74 rows, S 76 rows" in one for one in words)
    assert {"Color A", "Color B", "Color C"} <= set(words)


def structure(element):
    """Every structure element below one."""
    kids = element.get("/K", [])
    for kid in kids if isinstance(kids, list) else [kids]:
        kid = kid.get_object() if hasattr(kid, "get_object") else kid
        if isinstance(kid, dict) and "/S" in kid:
            yield kid
            yield from structure(kid)
