"""Copies of patterns, and blocks of one pattern brought into another."""

import pytest
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.models import Pattern
from grading.entries.copying import block_of, brought, heading_of
from tests.builders import sample
from tests.catalogue.desk_work import fresh, load, small_document

pytestmark = pytest.mark.django_db
SLEEVE = "sections.2"


def test_a_pattern_is_copied_under_another_title(designer_client):
    pattern = load()
    url = reverse("pattern_copy", args=[pattern.slug])
    refused = designer_client.post(url, {"title": pattern.title})
    assert "choose another" in refused.context["form"].errors["title"][0]
    designer_client.post(url, {"title": "Marlstone Jacket"})
    copy = Pattern.objects.select_related("sheet").get(slug="marlstone-jacket")
    assert pattern_document(copy) == {**pattern_document(fresh(pattern)), "title": "Marlstone Jacket"}


def test_a_section_comes_with_all_that_it_hangs_on():
    source = sample("brackenmere_pullover")
    place = next(i for i, one in enumerate(source["sections"]) if "Sleeve" in one["title"])
    sections, spots = block_of(source, [f"sections.{place}"])
    assert sections == [place]
    # The section names the taper; the taper its counts; they the gauge and the arm.
    assert {("shapings", "sleeve_taper"), ("values", "cuff_stitches"), ("fabrics", "main"),
            ("body", "upper_arm"), ("options", "sleeves")} <= set(spots)  # fmt: skip
    assert ("pick_ups", "neckband") not in spots


def test_what_is_here_already_stays_and_numbers_go_with_their_size():
    source = sample("brackenmere_pullover")
    target = {**small_document(), "sizes": ["S", "M", "L"]}
    place = next(i for i, one in enumerate(source["sections"]) if "Sleeve" in one["title"])
    result, new, kept = brought(target, source, [f"sections.{place}"])
    assert result["fabrics"]["main"] == target["fabrics"]["main"]
    assert "Trebles" not in new
    assert "Half double crochet" in kept
    arm = dict(zip(source["sizes"], source["body"]["upper_arm"]["values"], strict=True))
    assert result["body"]["upper_arm"]["values"] == [arm["S"], arm["M"], arm["L"]]


def test_a_sleeve_is_brought_in_by_its_page(designer_client):
    target, source = load(), load("brackenmere_pullover")
    url = reverse("bring_from", args=[target.slug, source.slug])
    form = designer_client.get(url).context["form"]
    key = next(
        key for key, label in form.fields["take"].choices if key.startswith("sections") and "Sleeve" in label
    )
    answer = designer_client.post(url, {"revision": target.sheet.revision, "take": [key]}, follow=True)
    document = pattern_document(fresh(target))
    assert "Sleeve" in document["sections"][-1]["title"]
    assert [one["name"] for one in document["shapings"]] == ["sleeve_taper"]
    assert "Already here, and kept as they are" in answer.content.decode()
    assert designer_client.post(url, {"revision": 1}).context["form"].non_field_errors() == [
        "Tick what to copy."
    ]


def test_sections_come_first_and_what_comes_with_them_is_folded(designer_client):
    target, source = load(), load("brackenmere_pullover")
    url = reverse("bring_from", args=[target.slug, source.slug])
    sections, folded = designer_client.get(url).content.decode().split("<details><summary>What comes with")
    assert 'value="sections.0"' in sections
    assert 'value="shapings.sleeve_taper"' not in sections
    assert 'value="shapings.sleeve_taper"' in folded
    answer = designer_client.post(
        url, {"revision": target.sheet.revision, "parts": ["shapings.sleeve_taper"]}
    )
    assert answer.status_code == 302
    assert [one["name"] for one in pattern_document(fresh(target))["shapings"]] == ["sleeve_taper"]


def test_an_entry_without_a_label_is_headed_by_its_kind_and_its_name_in_words():
    assert heading_of("curves", "armhole_curve", {"width": "4"}) == "Curve: armhole curve"
    assert heading_of("curves", "armhole_curve", {"label": "Armhole"}) == "Armhole"
