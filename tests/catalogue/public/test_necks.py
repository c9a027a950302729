"""The page of a pattern says whether a garment for a child goes over the head."""

import re

import pytest
from django.urls import reverse

from tests.catalogue.builders import edit, make_pattern, make_version

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def necks_of(client, pattern, **asked):
    make_version(pattern, number="1.0")
    page = client.get(reverse("pattern_page", args=[pattern.slug]), asked).content.decode()
    assert len(page.encode()) < 100_000
    found = page.partition("<h3>Neck and head</h3>")[2].partition("</ul>")[0]
    return re.findall(r"<li>(.*?)</li>", found)


def pullover_for_a_child():
    """The pullover as one for a child whose head is measured."""

    def change(document):
        values = [45, 46, 46, 70, *[52] * (len(document["sizes"]) - 4)]
        head = {"label": "Head girth", "unit": "cm", "values": values}
        document.update(wearer="child", body={**document["body"], "head": head})

    pattern = make_pattern()
    edit(pattern, change)
    return pattern


def test_neck_and_head_of_each_size_of_a_child_stand_there(client):
    lines = necks_of(client, pullover_for_a_child())
    pattern = re.compile(r"(.+): neck opening ([0-9.]+) cm; head ([0-9.]+) cm: (.+)\.")
    found = [one.groups() for line in lines if (one := pattern.fullmatch(line))]
    assert len(found) == len(lines) > 0
    for size, neck, head, says in found:
        # By hand: crochet gives 15 %; both lengths are printed to half a centimetre.
        goes_over = float(neck) >= float(head)
        gives = float(neck) * 1.15 >= float(head)
        expected = "goes over" if goes_over else "goes over when stretched" if gives else "may be tight"
        assert says == expected, size
    assert {one[3] for one in found} == {"goes over", "goes over when stretched", "may be tight"}


def test_they_are_told_in_the_units_that_a_visitor_asks_for(client):
    lines = necks_of(client, pullover_for_a_child(), units="in")
    assert lines
    assert all(" in; head " in line for line in lines)


def test_a_garment_that_opens_in_front_says_so_once(client):
    assert necks_of(client, make_pattern("puffinbay_child")) == [
        "Opens in front: it needn’t go over the head."
    ]


def test_of_adults_whose_head_is_not_measured_nothing_is_said(client):
    assert necks_of(client, make_pattern()) == []
