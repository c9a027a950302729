"""The studio's yarns and shades, and the choice of them for a pattern."""

from decimal import Decimal

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.materials.yarns import YarnInUse, choose_yarns, complete_figures, delete_shade
from catalogue.models import PatternYarn, Yarn, YarnShade
from tests.builders import make_person
from tests.catalogue.builders import edit
from tests.catalogue.desk_work import load

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def make_yarn(name="Larkmoss Skeinbury", **shades):
    yarn = Yarn.objects.create(name=name, put_up_g=Decimal(50), length_per_100g_m=Decimal(220))
    for shade, srgb in (shades or {"Peat": "#4a3728"}).items():
        YarnShade.objects.create(yarn=yarn, name=shade, srgb=srgb)
    return yarn


@pytest.mark.parametrize(
    ("figures", "wanted"),
    [
        # derived: 110 m in a ball of 50 g are 220 m in 100 g
        ({"put_up_g": 50, "ball_length_m": 110}, (50, 220)),
        ({"put_up_g": 50, "length_per_100g_m": 220}, (50, 220)),
        ({"ball_length_m": 110, "length_per_100g_m": 220}, (50, 220)),
        ({"put_up_g": 50, "ball_length_m": 109, "length_per_100g_m": 220}, (50, 220)),
    ],
)
def test_any_two_figures_of_a_yarn_give_the_third(figures, wanted):
    given = {name: Decimal(figures[name]) if name in figures else None
             for name in ("put_up_g", "ball_length_m", "length_per_100g_m")}  # fmt: skip
    assert complete_figures(**given) == wanted


def test_one_figure_is_too_few_and_three_must_agree():
    with pytest.raises(ValueError, match="any two of the three"):
        complete_figures(put_up_g=Decimal(50), ball_length_m=None, length_per_100g_m=None)
    with pytest.raises(ValueError, match="110 m, not 90 m"):
        complete_figures(put_up_g=Decimal(50), ball_length_m=Decimal(90), length_per_100g_m=Decimal(220))


def test_a_yarn_is_stored_from_figures_in_any_unit(client, designer):
    # International Yard and Pound Agreement, 1959: 120 yd are 109.728 m, 1.75 oz are 49.612 g
    sent = {"name": "Larkmoss Orrendale", "fibre": "wool", "put_up": "1.75 oz", "ball_length": "120 yd"}
    assert client.post(reverse("yarn_new"), sent).status_code == 302
    yarn = Yarn.objects.get()
    assert (yarn.put_up_g, yarn.length_per_100g_m) == (Decimal("49.612"), Decimal("221.174"))
    assert "Larkmoss Orrendale" in client.get(reverse("yarns")).content.decode()


@pytest.mark.parametrize(
    ("sent", "says"),
    [
        ({"put_up": "50 m", "ball_length": "110"}, "not a figure above 0"),
        ({"put_up": "0", "ball_length": "110"}, "not a figure above 0"),
        ({"put_up": "fifty", "ball_length": "110"}, "not a figure above 0"),
        ({"put_up": "50"}, "any two of the three"),
        ({"put_up": "50", "length_per_100g": "220", "name": "larkmoss skeinbury"}, "There is a yarn"),
    ],
)
def test_a_yarn_that_makes_no_sense_is_refused_and_kept_in_the_form(client, designer, sent, says):
    make_yarn()
    answer = client.post(reverse("yarn_new"), {"name": "Larkmoss Orrendale", **sent})
    assert answer.status_code == 400
    assert says in answer.content.decode()
    assert answer.context["form"]["put_up"].value() == sent["put_up"]
    assert Yarn.objects.count() == 1


def test_a_yarn_is_changed_and_deleted(client, designer):
    yarn = make_yarn()
    page = reverse("studio_yarn", args=[yarn.pk])
    assert "220 m" in client.get(page).content.decode()
    assert client.post(page, {"name": yarn.name, "put_up": "100 g", "ball_length": "230"}).status_code == 302
    yarn.refresh_from_db()
    assert (yarn.put_up_g, yarn.length_per_100g_m) == (100, 230)
    assert client.get(reverse("yarn_delete", args=[yarn.pk])).status_code == 405
    client.post(reverse("yarn_delete", args=[yarn.pk]))
    assert not Yarn.objects.exists()


def test_shades_are_added_changed_and_deleted(client, designer):
    yarn = make_yarn()
    add = reverse("shade_add", args=[yarn.pk])
    assert client.post(add, {"shade-name": "Oat", "shade-srgb": "#D9C7A3"}).status_code == 302
    oat = yarn.shades.get(name="Oat")
    assert oat.srgb == "#d9c7a3"
    refused = client.post(add, {"shade-name": "oat", "shade-srgb": "brown"})
    assert refused.status_code == 400
    assert "has a shade “oat” already" in refused.content.decode()
    assert "such as “#4a3728”" in refused.content.decode()
    client.post(reverse("shade", args=[oat.pk]), {"name": "Oats", "srgb": "#d9c7a4"})
    assert yarn.shades.get(pk=oat.pk).name == "Oats"
    client.post(reverse("shade_delete", args=[oat.pk]))
    assert yarn.shades.count() == 1


def test_what_a_pattern_uses_is_not_deleted(client, designer):
    pattern, yarn = load("thistledrift_waistcoat"), make_yarn()
    peat = yarn.shades.get()
    choose_yarns(pattern=pattern, chosen={"A": (yarn, peat)})
    with pytest.raises(YarnInUse, match="Thistledrift Waistcoat"):
        delete_shade(shade=peat)
    answer = client.post(reverse("yarn_delete", args=[yarn.pk]), follow=True)
    assert "choose another one there first" in answer.content.decode()
    assert Yarn.objects.exists()


def test_each_colour_is_given_a_yarn_and_a_shade(client, designer):
    pattern, yarn = load("thistledrift_waistcoat"), make_yarn(Peat="#4a3728", Oat="#d9c7a3")
    peat = yarn.shades.get(name="Peat")
    page = reverse("pattern_yarns", args=[pattern.slug])
    assert "Larkmoss Skeinbury, Peat" in client.get(page).content.decode()
    sent = {"colour_0": f"{yarn.pk}-{peat.pk}", "colour_1": f"{yarn.pk}-0", "colour_2": ""}
    assert client.post(page, sent).status_code == 302
    chosen = {one.colour: one.shade for one in PatternYarn.objects.filter(pattern=pattern)}
    assert chosen == {"A": peat, "B": None}
    client.post(page, {"colour_0": "", "colour_1": "", "colour_2": ""})
    assert not PatternYarn.objects.exists()
    assert client.post(page, {"colour_0": "999-1"}).status_code == 400


def test_what_the_sheet_leaves_open_is_filled_from_the_chosen_yarn_and_what_is_typed_stays(client, designer):
    pattern, yarn = load("thistledrift_waistcoat"), make_yarn()
    typed = pattern_document(pattern)["yarns"]
    bare = [{"colour": "A", "label": "Yarn A", "put_up": "100 g"}, *typed[1:]]
    edit(pattern, lambda document: document.update(yarns=bare))
    sent = {"colour_0": f"{yarn.pk}-0", "colour_1": "", "colour_2": ""}
    answer = client.post(reverse("pattern_yarns", args=[pattern.slug]), sent, follow=True)
    says = "The sheet took for yarn A: name Larkmoss Skeinbury, length in 100 g 220 m."
    assert says in " ".join(answer.content.decode().split())
    pattern.sheet.refresh_from_db()
    filled, *others = pattern_document(pattern)["yarns"]
    assert filled == {
        "colour": "A",
        "put_up": "100 g",
        "label": "Larkmoss Skeinbury",
        "length_per_100g": "220 m",
    }
    assert others == typed[1:]
    client.post(reverse("undo", args=[pattern.slug]), {"revision": pattern.sheet.revision})
    assert pattern_document(pattern)["yarns"] == bare


def test_a_yarn_that_is_sold_otherwise_than_the_sheet_counts_is_told(client, designer):
    pattern, yarn = load("thistledrift_waistcoat"), make_yarn()
    choose_yarns(pattern=pattern, chosen={"A": (yarn, None)})
    page = reverse("pattern_yarns", args=[pattern.slug])
    assert client.get(page).context["notes"] == []  # the sheet counts 220 m in 100 g and balls of 50 g
    Yarn.objects.update(length_per_100g_m=Decimal(200))
    says = "Colour A: the sheet counts 220 m in 100 g, Larkmoss Skeinbury has 200"
    assert says in client.get(page).content.decode()


def test_without_yarns_or_colours_the_page_says_what_to_do_first(client, designer):
    with_colours, without = load("thistledrift_waistcoat"), load()
    assert (
        "The studio has no yarns yet"
        in client.get(reverse("pattern_yarns", args=[with_colours.slug])).content.decode()
    )
    make_yarn()
    assert (
        "add a yarn to the sheet"
        in client.get(reverse("pattern_yarns", args=[without.slug])).content.decode()
    )
