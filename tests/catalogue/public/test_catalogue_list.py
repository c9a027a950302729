"""The public list, what search engines read, retired patterns, and corrections to print."""

import json
import re
from datetime import UTC, datetime
from xml.etree import ElementTree as ET

import pytest
from django.db import connection
from django.urls import reverse

from catalogue.models import Listing, ListingChoice, ListingMark, Studio, Version
from catalogue.public.listings import choice_order
from catalogue.public.search_terms import garment_named, terms_of
from catalogue.publishing.retiring import offer_pattern, retire_pattern
from tests.catalogue.builders import edit, make_pattern, make_photo, make_version
from tests.catalogue.public.test_public_pages import planted

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def titles(client, **query):
    page = client.get(reverse("catalogue"), query)
    return [one.title for one in page.context["found"].listed]


def test_the_filters_offer_what_there_is_and_find_it(client):
    for name in ("brackenmere_pullover", "cinderfell_raglan", "thistledrift_waistcoat"):
        make_version(make_pattern(name), number="1.0")
    offered = client.get(reverse("catalogue")).context["offered"]
    assert "Medium" in offered["weight"]
    for kind, labels in offered.items():
        for label in labels:
            assert titles(client, **{kind: label}), label
    assert titles(client, craft="tunisian", words="waistcoats") == ["Thistledrift Waistcoat"]
    assert titles(client, words="waist") == ["Thistledrift Waistcoat"]  # the beginning of a word is enough
    assert titles(client, craft="tunisian", words="pullover") == []


def test_a_new_release_renews_what_the_list_says(client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    edit(pattern, lambda document: document.update(summary="Now with pockets."))
    assert "Now with pockets" not in client.get(reverse("catalogue")).content.decode()
    make_version(pattern, number="1.1")
    assert "Now with pockets" in client.get(reverse("catalogue")).content.decode()
    assert titles(client, words="pockets") == [pattern.title]
    assert Listing.objects.get().version.number == "1.1"


def test_the_list_is_paged_at_the_same_number_of_queries(client, django_assert_num_queries, monkeypatch):
    monkeypatch.setattr("catalogue.public.listings.PER_PAGE", 2)
    for name in ("brackenmere_pullover", "cinderfell_raglan", "thistledrift_waistcoat"):
        make_photo(pattern := make_pattern(name))
        make_version(pattern, number="1.0")
    with django_assert_num_queries(3):  # studio, filters, listings with their photos
        first = client.get(reverse("catalogue"))
    with django_assert_num_queries(3):
        second = client.get(reverse("catalogue"), {"words": "wool", "size": "M", "page": "1"})
    assert second.status_code == 200
    assert "More patterns" in first.content.decode()
    assert titles(client, page="2") == ["Thistledrift Waistcoat"]
    assert titles(client, page="99") == []
    assert len(titles(client, page="0")) == len(titles(client, page="x")) == 2


def test_a_retired_pattern_leaves_the_list_and_keeps_its_addresses(client):
    pattern = make_pattern()
    planted(pattern)
    retire_pattern(pattern=pattern)
    assert titles(client) == []
    assert not ListingChoice.objects.exists()
    assert pattern.slug not in client.get(reverse("sitemap")).content.decode()
    for name, args in (("pattern_page", []), ("corrections", ["1.0"]), ("which", []), ("needs", [])):
        page = client.get(reverse(name, args=[pattern.slug, *args]))
        assert page.status_code == 200
    assert "8 rows fewer" in client.get(reverse("corrections", args=[pattern.slug, "1.0"])).content.decode()
    assert "no longer offered" in client.get(reverse("pattern_page", args=[pattern.slug])).content.decode()
    offer_pattern(pattern=pattern)
    assert titles(client) == [pattern.title]


def test_a_pattern_is_retired_by_a_button(designer_client):
    pattern = make_version(make_pattern(), number="1.0").pattern
    designer_client.post(reverse("pattern_retire", args=[pattern.slug]))
    assert not Listing.objects.exists()
    assert "Offer it again" in designer_client.get(reverse("versions", args=[pattern.slug])).content.decode()
    designer_client.post(reverse("pattern_offer", args=[pattern.slug]))
    assert Listing.objects.exists()


def test_search_engines_read_the_pattern(client):
    pattern = make_pattern()
    edit(pattern, lambda document: document.update(summary="</script><b>&amp; more"))
    make_photo(pattern)
    for number, month in (("1.0", 5), ("1.1", 6)):
        version = make_version(pattern, number=number)
        at = datetime(2026, month, month - 2, 23, tzinfo=UTC)  # in Helsinki it is the next day already
        Version.objects.filter(pk=version.pk).update(published_at=at)
    Studio.objects.update(time_zone="Europe/Helsinki")
    page = client.get(reverse("pattern_page", args=[pattern.slug])).content.decode()
    (written,) = re.findall(r'<script type="application/ld\+json">(.*?)</script>', page)
    told = json.loads(written)
    assert (told["@context"], told["@type"]) == ("https://schema.org", "CreativeWork")
    assert told["description"] == "</script><b>&amp; more"
    assert told["url"] == f"https://larkmoss.example/patterns/{pattern.slug}/"
    assert told["version"] == "1.1"
    assert [told["datePublished"], told["dateModified"]] == ["2026-05-04", "2026-06-05"]
    assert "offers" not in told  # the studio sells nothing here
    assert told["image"][0].startswith("https://larkmoss.example/files/photos/")
    places = ET.fromstring(client.get(reverse("sitemap")).content)
    assert told["url"] in [one.text for one in places.iter() if one.tag.endswith("loc")]
    robots = client.get(reverse("robots")).content.decode()
    assert "Disallow: /desk/" in robots
    assert "Sitemap: https://larkmoss.example/sitemap.xml" in robots


def test_pages_for_visitors_are_light_and_set_no_cookie(client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    of_pattern = [(name, [pattern.slug]) for name in ("pattern_page", "needs", "which")]
    of_version = [(name, [pattern.slug, "1.0"]) for name in ("corrections", "corrections_file")]
    of_studio: list[tuple[str, list[str]]] = [
        (name, []) for name in ("catalogue", "call_list", "privacy", "sitemap", "robots")
    ]
    for name, args in (*of_pattern, *of_version, *of_studio):
        answer = client.get(reverse(name, args=args))
        assert answer.status_code == 200
        assert not answer.cookies
        assert len(answer.content) < 60_000


def test_every_picture_says_its_size(client):
    pattern = make_pattern()
    make_photo(pattern)
    make_version(pattern, number="1.0")
    for name, args in (("catalogue", []), ("pattern_page", [pattern.slug])):
        pictures = re.findall("<img [^>]*>", client.get(reverse(name, args=args)).content.decode())
        assert pictures
        for picture in pictures:
            assert re.search(r'width="\d+"', picture)
            assert re.search(r'height="\d+"', picture)
            assert "alt=" in picture


def test_corrections_are_printed_on_one_page_and_made_once(client, monkeypatch):
    pattern = make_pattern()
    planted(pattern)
    url = reverse("corrections_file", args=[pattern.slug, "1.0"])
    first = client.get(url)
    assert first["Content-Type"] == "application/pdf"
    assert first.content.count(b"/Type /Page\n") + first.content.count(b"/Type /Page/") <= 1
    monkeypatch.setattr("catalogue.public.corrections_sheets._write_pdf", lambda *_: 1 / 0)
    assert client.get(url).content == first.content
    assert client.get(reverse("corrections_file", args=[pattern.slug, "9.9"])).status_code == 404


@pytest.mark.parametrize("says", ["too long 🧶", "陳 says: too long", "𒀀"])
def test_corrections_in_any_script_are_printed(client, says):
    pattern = make_pattern()
    planted(pattern, says=says)
    assert client.get(reverse("corrections_file", args=[pattern.slug, "1.0"])).status_code == 200


def test_a_version_is_told_by_what_it_says(client):
    pattern = make_pattern()
    planted(pattern)
    page = client.get(reverse("which", args=[pattern.slug])).content.decode()
    assert "The first version." in page
    assert "Changed since 1.0:" in page
    assert "Sleeve, rows" in page
    words = " ".join(page.split())
    assert "<dt>Look at</dt><dd>" in words
    assert words.index("<dt>Look at</dt>") < words.index("<summary>All that changed</summary>")


def test_sizes_are_offered_from_small_to_large():
    labels = ["10y", "1X", "2X", "2XS", "2y", "5X", "L", "XL", "XS"]
    marks = sorted((f"size {label}" for label in labels), key=choice_order)
    assert [mark.removeprefix("size ") for mark in marks] == [
        *("2XS", "XS", "L", "XL", "1X", "2X", "5X"),
        *("2y", "10y"),
    ]


ODD_WORDS = (
    "Ährenkranz Café crème Straße Øre naïve 4ply half-and-half N°12 żółw Łódź 100m T-shirt d’Été ZIG zag_zug"
)


@pytest.fixture
def sorted_by_language(db):
    """PostgreSQL sorts marks as English does, however its own default is set; SQLite always by characters."""
    if connection.vendor == "postgresql":
        with connection.cursor() as cursor:
            column = 'ALTER TABLE catalogue_listingmark ALTER COLUMN mark TYPE varchar(60) COLLATE "en-x-icu"'
            cursor.execute(column)


@pytest.mark.usefixtures("sorted_by_language")
def test_words_are_found_by_their_beginning_and_by_nothing_else(client):
    """On every database: what a word begins with is compared by characters, not as a language sorts."""
    pattern = make_pattern()
    edit(pattern, lambda document: document.update(summary=ODD_WORDS))
    make_version(pattern, number="1.0")
    stored = [mark.removeprefix("word ") for mark in marks() if mark.startswith("word ")]
    beginnings = {word[:length] for word in stored for length in range(1, len(word) + 1)}
    beyond = {f"{one}{letter}" for one in beginnings for letter in "a0zé-"}
    for asked in beginnings | beyond:
        wanted = [any(word.startswith(one) for word in stored) for one in terms_of(asked)]
        assert bool(titles(client, words=asked)) == all(wanted), asked


@pytest.mark.parametrize(
    "asked",
    [
        *("ährenkranz", "AHREN", "A\u0308hren", "cafe\u0301", "CAFE", "strasse", "STRASSE", "straße"),
        *("T-Shirts", "half-and", "4PLY", "100m", "lodz"),
    ],
)
def test_words_are_found_without_case_accents_and_plural(client, asked):
    pattern = make_pattern()
    edit(pattern, lambda document: document.update(summary=ODD_WORDS.replace("Łódź", "Lo\u0301dź")))
    make_version(pattern, number="1.0")
    assert titles(client, words=asked) == [pattern.title]


def marks():
    return list(ListingMark.objects.values_list("mark", flat=True))


def test_patterns_are_found_by_garment_and_by_who_wears_it(client):
    for name in ("brackenmere_pullover", "cinderfell_raglan", "puffinbay_child"):
        make_version(make_pattern(name), number="1.0")
    page = client.get(reverse("catalogue"))
    assert page.context["offered"]["garment"] == ["jacket or coat", "jumper or pullover"]
    assert page.context["offered"]["wearer"] == ["adult", "child"]
    assert "<option>jumper or pullover</option>" in page.content.decode()
    for name in page.context["offered"]["weight"]:
        assert f'<option value="{name}">' in page.content.decode()
    assert '<option value="Light">3 · Light (DK)</option>' in page.content.decode()
    chosen = client.get(reverse("catalogue"), {"weight": "Light"}).content.decode()
    assert '<option value="Light" selected>3 · Light (DK)</option>' in chosen
    nothing = client.get(reverse("catalogue"), {"weight": "Super Bulky"}).content.decode()
    assert nothing.count("6 · Super Bulky (super chunky)") == 2, "in the filter, and as what is in the way"
    worn = ["Brackenmere Pullover", "Cinderfell Raglan"]  # the raglan says so in its summary alone
    assert titles(client, garment="jumper or pullover") == titles(client, wearer="adult") == worn
    assert titles(client, wearer="child", garment="jacket or coat") == ["Puffinbay Child's Jacket"]
    assert titles(client, wearer="baby") == titles(client, garment="x' or 1=1") == []


@pytest.mark.parametrize(
    ("title", "summary", "garment"),
    [
        ("Heron Cardigan", "To wear over the Heron dress.", "cardigan"),
        ("Heron Cardigan Dress", "", "dress"),
        ("Heron", "A shawl, or a scarf when worked over fewer stitches.", "shawl"),
        ("Heron", "A round yoke worked from the top.", ""),
        ("Heron Top", "", "top"),
        ("Heron SOCKS", "", "socks or slippers"),
        ("Child's vests", "", "waistcoat or vest"),
        ("Hatching Heron", "", ""),
        ("", "", ""),
    ],
)
def test_a_garment_is_told_from_the_title_else_from_the_summary(title, summary, garment):
    assert garment_named(title, summary) == garment
