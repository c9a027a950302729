"""Public pages: no cookie, only releases, corrections told from the frozen records."""

import re
from html import unescape
from unittest.mock import Mock

import pytest
from django.urls import reverse

from catalogue.drafts.patterns import load_pattern
from catalogue.editions.choices import home_choices
from catalogue.editions.editions import render_pdf
from catalogue.errata.errata import Mistake, correct_erratum, judge_erratum, report_erratum
from catalogue.holders.holders import holder_key
from catalogue.models import Holder, ListingMark, Pattern
from catalogue.public.listings import MARKED_AS, choices, mark_anew
from catalogue.versions import frozen_grades
from grading.core.grade.grade import grade
from tests.builders import make_studio, sample
from tests.catalogue.builders import edit, make_pattern, make_photo, make_record, make_version, value_of
from tests.catalogue.frozen import as_a_new_process
from tests.present import present

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def see(client, name, *args, **query):
    answer = client.get(reverse(name, args=args), query)
    assert not answer.cookies
    return answer


def test_an_empty_catalogue_says_so(client):
    assert "No pattern is published yet." in see(client, "catalogue").content.decode()


def test_only_patterns_with_a_release_are_listed(client):
    make_version(make_pattern(), number="1.0")
    make_version(make_pattern("cinderfell_raglan"), kind="test", number="0.1")
    make_pattern("puffinbay_child")
    page = see(client, "catalogue").content.decode()
    assert "Brackenmere" in page
    assert "Cinderfell" not in page
    assert "Puffinbay" not in page
    assert see(client, "pattern_page", "cinderfell-raglan").status_code == 404
    assert see(client, "corrections", "cinderfell-raglan", "0.1").status_code == 404


def test_a_new_title_of_the_draft_is_told_to_nobody_before_it_is_released(client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    edit(pattern, lambda document: document.update(title="Secret Jumper"))
    slug = pattern.slug
    addresses = [("corrections", slug, "1.0"), *((name, slug) for name in ("which", "sign_up", "signed_up"))]
    for address in [*addresses, ("pattern_page", slug), ("needs", slug), ("catalogue",)]:
        page = client.get(reverse(address[0], args=address[1:])).content.decode()
        assert "Secret" not in page, address
        assert "Brackenmere Pullover" in page, address
    holder = Holder.objects.create(pattern=pattern, email="wren@larkmoss.example", state="asked")
    for name, method in (
        ("holder_confirm", "get"),
        ("holder_confirm", "post"),
        ("unsubscribe", "get"),
        ("unsubscribe", "post"),
    ):
        page = getattr(client, method)(reverse(name, args=[holder_key(holder)])).content.decode()
        assert "Secret" not in page, name
        assert "Brackenmere Pullover" in page, name


def test_a_draft_that_was_edited_since_its_release_is_shown_as_released(client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    edit(pattern, lambda document: document.update(title="Not out yet"))
    assert "Not out yet" not in see(client, "catalogue").content.decode()
    assert "Not out yet" not in see(client, "pattern_page", pattern.slug).content.decode()


def test_the_list_is_filtered(client):
    make_version(make_pattern(), number="1.0")
    make_version(make_pattern("puffinbay_child"), number="1.0")
    assert "Brackenmere" not in see(client, "catalogue", size="6y").content.decode()
    found = see(client, "catalogue", craft="crochet", words="JACKET cotton").content.decode()
    assert "Puffinbay" in found
    assert "Brackenmere" not in found
    nothing = see(client, "catalogue", words='"><script>').content.decode()
    assert "No patterns match" in nothing
    assert "<script>" not in nothing
    for odd in ("\x00", "x" * 5000, "%"):
        assert see(client, "catalogue", words=odd, size=odd, craft=odd).status_code == 200


def test_the_list_is_filtered_by_a_measurement_of_the_body(client):
    make_version(make_pattern(), number="1.0")  # bust 73.7 to 162.6 cm
    make_version(make_pattern("puffinbay_child"), number="1.0")  # chest of children
    for typed in ("96", "38 in", "37½ in", "96,5 cm"):
        found = see(client, "catalogue", girth="bust", measures=typed).content.decode()
        assert "Brackenmere" in found, typed
        assert "Puffinbay" not in found, typed
    child = see(client, "catalogue", girth="bust", measures="58").content.decode()
    assert "Puffinbay" in child
    assert "Brackenmere" not in child
    both = see(client, "catalogue", girth="bust", measures="").content.decode()
    assert "Brackenmere" in both
    assert "Puffinbay" in both


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("ninety", "can&#x27;t be read as a number"),
        ("96 kg", "“kg” is not a unit of length"),
        ("9600", "That can’t be a body measurement"),
        ("-3", "That can’t be a body measurement"),
        ("1e308", "can&#x27;t be read as a number"),
    ],
)
def test_a_measurement_that_cannot_be_read_is_told_and_filters_nothing(client, typed, says):
    make_version(make_pattern(), number="1.0")
    page = see(client, "catalogue", girth="bust", measures=typed).content.decode()
    assert says in page
    assert "The list is for every body." in page
    assert "Brackenmere" in page
    assert f'value="{typed}"' in page


def test_a_number_without_a_unit_is_echoed_and_small_ones_may_be_meant_in_inches(client):
    make_version(make_pattern(), number="1.0")
    page = see(client, "catalogue", girth="bust", measures="40 1/4", craft="crochet").content.decode()
    assert "a size for a bust or chest of 40.25 cm, or within 5 % of one." in page
    meant = present(re.search(r'href="([^"]*)">Did you mean 40 1/4 in\?', page))[1]
    assert "Brackenmere" in client.get(f"{reverse('catalogue')}{unescape(meant)}").content.decode()
    for typed in ("96", "40.25 cm", "38 in"):
        assert "Did you mean" not in see(client, "catalogue", girth="bust", measures=typed).content.decode()


def test_the_filter_that_empties_the_list_is_named(client):
    make_version(make_pattern(), number="1.0")
    make_version(make_pattern("puffinbay_child"), number="1.0")
    page = see(client, "catalogue", words="jacket", size="XS", craft="crochet").content.decode()
    said = re.findall(r'<a href="([^"]*)">without “([^<]*)”</a>', page)
    assert [label for _, label in said] == ["Size: XS", "Search: jacket"]
    for query, _ in said:
        assert (
            "No patterns match" not in client.get(f"{reverse('catalogue')}{unescape(query)}").content.decode()
        )
    assert f'<a href="{reverse("catalogue")}">Clear all filters</a>' in page
    assert "No patterns match" not in see(client, "catalogue").content.decode()


def test_the_list_says_what_cannot_be_had_yet(client):
    pattern = make_version(make_pattern(), number="1.0").pattern
    assert "; not on sale yet" in see(client, "catalogue").content.decode()
    shop = pattern.shop_links.create(label="Larkmoss shop", address="https://shop.larkmoss.example/")
    assert "not on sale yet" not in see(client, "catalogue").content.decode()
    shop.delete()
    Pattern.objects.update(is_free=True)
    assert "not on sale yet" not in see(client, "catalogue").content.decode()


def test_a_filter_without_a_choice_is_not_offered(client):
    make_version(make_pattern(), number="1.0")
    page = see(client, "catalogue").content.decode()
    assert 'name="level"' not in page
    assert 'name="size"' in page


@pytest.mark.parametrize(
    ("measure", "size", "says"),
    [
        ("104", "L", "a bust or chest of 104 cm take size L: 117 cm finished, 13 cm more than yours: loose."),
        (
            "109",
            "L",
            "take size L: 117 cm finished, 8 cm more than yours: with some room. One size smaller, M:",
        ),
        # 117.14 cm are 46.1 in, printed as 46: what is told follows from what is printed, in the unit typed
        ("40 1/2 in", "L", "of 40½ in (103 cm) take size L: 46 in finished, 5½ in more than yours: loose."),
        ("none", "", ""),
        ("", "", ""),
    ],
)
def test_a_measure_of_the_list_goes_on_to_the_pattern_and_to_what_it_needs(client, measure, size, says):
    make_version(make_pattern(), number="1.0")
    listed = see(client, "catalogue", girth="bust", measures=measure).content.decode()
    told = re.search(r"take size (\w+): ([^:]+ finished)", says)
    assert (f"<strong>Size {told[1]}: {told[2]}</strong>" in listed) if told else (" finished" not in listed)
    address = unescape(present(re.search(r'href="([^"]*brackenmere-pullover/[^"]*)"', listed))[1])
    page = client.get(address).content.decode()
    assert ("Yours:" in page) is bool(says)
    assert says in page
    needs = unescape(present(re.search(r'href="([^"]*needs/[^"]*)"', page))[1])
    shown = client.get(needs)
    text = shown.content.decode()
    assert shown.context["is_chosen"] is bool(size)
    assert shown.context["asked"].size == size or "Choose your size first." in text
    back = unescape(present(re.search(r'href="([^"]*brackenmere-pullover/\?[^"]*)"', text))[1])
    for kept in (text, client.get(back).content.decode()) if size else ():
        assert f'<input type="hidden" name="measures" value="{measure}">' in kept


def test_listings_from_before_are_marked_anew_once():
    make_version(make_pattern(), number="1.0")
    assert mark_anew() == 0
    ListingMark.objects.filter(mark__startswith="body ").delete()
    ListingMark.objects.filter(mark=MARKED_AS).delete()
    assert mark_anew() == 1
    assert ListingMark.objects.filter(mark="body bust 96").exists()
    assert choices()["body"] == ["bust"]
    assert mark_anew() == 0


def test_a_pattern_page_shows_gauge_and_the_garment_against_the_body(client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    page = see(client, "pattern_page", pattern.slug).content.decode()
    assert "<h2>Gauge</h2>" in page
    assert "Half double crochet: 14 stitches and 10 rows over 10 cm (4 in)" in page
    assert "Take your own measurement (bust girth) and add the ease" in page
    assert "Chest (all round) less bust girth" in page or "Chest less bust girth" in page


def test_a_pattern_page_shows_sizes_measurements_yarn_and_version(client):
    pattern = make_pattern("puffinbay_child")
    make_photo(pattern, alt="The jacket, seen from the front")
    make_version(pattern, number="1.0")
    page = see(client, "pattern_page", pattern.slug).content.decode()
    assert 'alt="The jacket, seen from the front"' in page
    assert "Chest, closed, cm" in page
    assert "5 balls · 245 g · 520 m" in page
    assert "Download" not in page
    inches = see(client, "pattern_page", pattern.slug, units="in").content.decode()
    assert "Chest, closed, in" in inches
    assert " yd<" in inches
    assert see(client, "pattern_page", pattern.slug, units="ells").status_code == 200


def test_a_release_is_worked_out_once_for_all_who_look_and_anew_when_it_says_otherwise(client, monkeypatch):
    work_out = Mock(side_effect=grade)
    monkeypatch.setattr(frozen_grades, "grade", work_out)
    as_a_new_process()
    make_studio()
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    first = see(client, "pattern_page", pattern.slug).content
    assert see(client, "pattern_page", pattern.slug).content == first
    see(client, "pattern_page", pattern.slug, units="in")
    assert work_out.call_count == 1
    edit(pattern, lambda document: document["values"][0].update(label="A length of its own"))
    make_version(pattern, number="1.1")
    see(client, "pattern_page", pattern.slug)
    assert work_out.call_count == 2


def test_a_pattern_that_says_little_about_itself_is_shown_all_the_same(client, settings):
    document = sample("brackenmere_pullover")
    for key in ("summary", "wearer", "hazards", "notions", "abbreviations", "checks", "pieces", "joins"):
        document.pop(key, None)
    make_studio()
    pattern = load_pattern(document=document, by=None)
    make_version(pattern, number="1.0")
    for name, args in (
        ("catalogue", []),
        ("pattern_page", [pattern.slug]),
        ("corrections", [pattern.slug, "1.0"]),
    ):
        assert see(client, name, *args).status_code == 200
    record = make_record(pattern)
    assert render_pdf(record=record, choices=home_choices(record)).pages > 1


def test_no_instruction_is_given_away(client):
    pattern = make_pattern("puffinbay_child")
    make_version(pattern, number="1.0")
    page = see(client, "pattern_page", pattern.slug).content.decode()
    assert "skipped ch count as a stitch" not in page


def test_a_free_pattern_offers_its_pdf(client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    type(pattern).objects.update(is_free=True)
    assert (
        "Download: US terms, centimetres, all sizes, in colour, A4"
        in see(client, "pattern_page", pattern.slug).content.decode()
    )


def planted(pattern, says="too long"):
    """Two releases: the first has eight rows too many in the sleeve, the second is right."""

    def plant(document):
        value_of(document, "sleeve_rows")["formula"] += " + 8 rows"

    def mend(document):
        value = value_of(document, "sleeve_rows")
        value["formula"] = value["formula"].removesuffix(" + 8 rows")

    edit(pattern, plant)
    first = make_version(pattern, number="1.0")
    erratum = report_erratum(
        Mistake(
            pattern=pattern,
            place="values.sleeve_rows",
            says=says,
            should_say="8 rows fewer",
            found_in=first,
        )
    )
    judge_erratum(erratum=erratum, is_mistake=True)
    edit(pattern, mend)
    second = make_version(pattern, number="1.1", note="The sleeve is right now.")
    correct_erratum(erratum=erratum, version=second)
    return first, second


def test_the_corrections_page_of_an_old_version_tells_what_changed(client):
    pattern = make_pattern()
    first, _ = planted(pattern)
    page = see(client, "corrections", pattern.slug, "1.0").content.decode()
    assert "The current version is 1.1" in page
    assert "8 rows fewer" in page
    assert "The sleeve is right now." in page
    holder = Holder.objects.create(
        pattern=pattern, email="wren@larkmoss.example", state="asked", version=first
    )
    told = " ".join(
        client.post(reverse("holder_confirm", args=[holder_key(holder)])).content.decode().split()
    )
    known = f'known already: <a href="{reverse("corrections", args=[pattern.slug, "1.0"])}">read it</a>.'
    assert f"1 correction to version 1.0 is {known}" in told
    assert "Steps that changed" in page
    assert "<dt>Sleeve, rows</dt>" not in page  # a count within the sheet: no copy prints it by its name


def test_the_corrections_page_of_the_current_version_has_none(client):
    pattern = make_pattern()
    planted(pattern)
    page = see(client, "corrections", pattern.slug, "1.1").content.decode()
    assert "Version 1.1 is the current version." in page
    assert "No mistake in this version is known." in page


def test_a_reported_mistake_is_told_to_nobody_before_it_is_confirmed(client):
    version = make_version()
    report_erratum(
        Mistake(pattern=version.pattern, place="values.chest", should_say="Secret", found_in=version)
    )
    assert "Secret" not in see(client, "corrections", version.pattern.slug, "1.0").content.decode()


@pytest.mark.parametrize("number", ["1", "9.9", "1.00", "x", "1.0%00"])
def test_a_version_that_there_is_not_answers_404(client, number):
    version = make_version()
    assert see(client, "corrections", version.pattern.slug, number).status_code == 404


def test_public_pages_only_answer(client):
    version = make_version()
    for name, args in (
        ("catalogue", []),
        ("pattern_page", [version.pattern.slug]),
        ("corrections", [version.pattern.slug, "1.0"]),
    ):
        assert client.post(reverse(name, args=args)).status_code == 405


def test_the_list_asks_the_database_little(client, django_assert_max_num_queries):
    for name in ("brackenmere_pullover", "cinderfell_raglan", "puffinbay_child"):
        pattern = make_pattern(name)
        make_photo(pattern)
        make_version(pattern, number="1.0")
        make_version(pattern, number="1.1")
    with django_assert_max_num_queries(5):
        client.get(reverse("catalogue"))
