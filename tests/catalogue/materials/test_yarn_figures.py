"""Yarns as they are sold: figures in other units, every weight that fits, and balls that change."""

import pytest
from django.urls import reverse

from catalogue.materials.yarn_counts import read_yarn_count
from catalogue.models import PatternYarn, Yarn
from tests.catalogue.builders import make_pattern

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("250 tex", 400),  # tex: g in 1000 m (ISO 1144)
        ("2500 dtex", 400),
        ("Nm 4", 400),  # metric count: m in 1 g
        ("2/28 Nm", 1400),  # two threads of 28 m in 1 g
        ("220 m", None),
        ("0 tex", None),
        ("Nm 0/4", None),
        ("nonsense", None),
    ],
)
def test_counts_are_read_as_people_write_them(text, metres):
    assert read_yarn_count(text) == (None if metres is None else pytest.approx(metres))


@pytest.mark.parametrize(
    ("put_up", "ball", "per_100g", "length"),
    [
        ("50 g", "200 m", "", 400),  # mp100-200-50
        ("3.5 oz", "100 yd", "", 92.156),  # mp100-yd, GNU units
        ("100 g", "220 yd", "", 201.168),  # mp100-220yd-100g
        ("50 g", "", "250 tex", 400),
        ("", "200 m", "Nm 2/8", 400),
    ],
)
def test_any_two_figures_are_enough_in_any_unit(designer_client, put_up, ball, per_100g, length):
    sent = {"name": "Larkmoss Skeinbury", "fibre": "wool", "put_up": put_up, "ball_length": ball}
    answer = designer_client.post(reverse("yarn_new"), {**sent, "length_per_100g": per_100g})
    assert answer.status_code == 302
    assert float(Yarn.objects.get().length_per_100g_m) == pytest.approx(length, abs=0.001)


def test_every_weight_that_fits_is_named(designer_client):
    yarn = Yarn.objects.create(name="Larkmoss Skeinbury", length_per_100g_m=220, put_up_g=50)
    assert yarn.weight_words == "Light or Medium"
    assert "Light or Medium" in designer_client.get(reverse("yarns")).content.decode()


def test_another_put_up_says_whose_balls_change(designer_client):
    pattern = make_pattern("thistledrift_waistcoat")
    yarn = Yarn.objects.create(name="Larkmoss Skeinbury", length_per_100g_m=220, put_up_g=50)
    PatternYarn.objects.create(pattern=pattern, colour="A", yarn=yarn)
    url = reverse("studio_yarn", args=[yarn.pk])
    sent = {"name": yarn.name, "fibre": "", "ball_length": "", "length_per_100g": "220 m"}
    page = designer_client.post(url, {**sent, "put_up": "100 g"}, follow=True).content.decode()
    # 274.46 g and 303.99 g of colour A in XS and S: 6 and 7 balls of 50 g, 3 and 4 of 100 g (derived)
    assert "Thistledrift Waistcoat, colour A (pockets yes, colours solid), balls: XS 6 → 3, S 7 → 4" in page
    again = designer_client.post(url, {**sent, "put_up": "100 g"}, follow=True).content.decode()
    assert "balls:" not in again
