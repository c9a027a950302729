"""Helps and special stitches on the public page: everybody sees which come with it, some may open them."""

import pytest
from django.urls import reverse

from catalogue.errata.errata import Mistake, judge_erratum, report_erratum
from catalogue.helps.helps import save_help
from catalogue.holders.holders import NewHolder
from catalogue.holders.pdf_links import pdf_key, store_buyers
from catalogue.models import Holder
from tests.catalogue.builders import make_pattern, make_version
from tests.catalogue.helps.builders import TYPED, make_help, name_in_step
from tests.catalogue.special_stitches.builders import make_stitch, take_over
from tests.pages import page_text

pytestmark = pytest.mark.django_db


@pytest.fixture
def pattern(quick_pdf):
    pattern = make_pattern()
    take_over(pattern, make_stitch())
    name_in_step(pattern, make_help(pictured=1).name)
    make_version(pattern)
    return pattern


def test_a_visitor_sees_which_helps_come_with_it_as_the_version_has_them(client, pattern):
    found = pattern.versions.get().frozen_helps.get().help
    save_help(found=found, by=None, **{**TYPED, "title": "Otherwise"})
    page = page_text(client.get(reverse("pattern_page", args=[pattern.slug])))
    assert "Foundation chain (1 picture and a video)" in page
    assert "Otherwise" not in page
    assert found.code not in page
    assert "Special stitches are explained: Puff stitch (ps)." in page


def test_who_may_have_the_pattern_opens_them_there(client, pattern):
    type(pattern).objects.update(is_free=True)
    page = page_text(client.get(reverse("pattern_page", args=[pattern.slug])))
    address = pattern.versions.get().frozen_helps.get().help.get_absolute_url()
    assert f'<a href="{address}">Foundation chain</a>' in page
    assert client.get(address).status_code == 200


def test_a_pattern_without_helps_says_nothing_of_them(client, quick_pdf):
    pattern = make_version().pattern
    page = page_text(client.get(reverse("pattern_page", args=[pattern.slug])))
    assert "Help that comes with it" not in page


def test_a_help_opens_at_its_step_where_a_maker_reads_their_size(client, pattern):
    read = reverse("read_your_size", args=[pattern.slug])
    assert client.get(read, {"size": "M"}).status_code == 404
    type(pattern).objects.update(is_free=True)
    needs = page_text(client.get(reverse("needs", args=[pattern.slug])))
    assert f'formaction="{read}"' in needs
    page = page_text(client.get(read, {"size": "M", "units": "in"}))
    assert "Size M, with long sleeves. Version 1.0." in page
    assert page.count('<details class="help fold">') == 1
    help_at = page.index("Help 1: Foundation chain")
    assert page.index('href="#help-1"') < help_at < page.index('<h2 id="measure">How to measure it')
    assert "Draw each loop to the same height." in page[help_at:]
    assert "Still stuck?" not in page
    assert "size=M&amp;units=in" in page[: page.index("<h1")]


def test_a_buyer_reads_the_version_they_have_and_hears_of_corrections(client, pattern):
    version = pattern.versions.get()
    store_buyers(holders=[NewHolder("ida@larkmoss.example", pattern, version, None)], source="imported")
    key = pdf_key(Holder.objects.get())
    step = "sections[0].steps[0]"
    report = Mistake(pattern=pattern, place=step, found_in=version, says="", should_say="Chain.", by=None)
    judge_erratum(erratum=report_erratum(report), is_mistake=True)
    read = reverse("holder_read", args=[key])
    assert f'formaction="{read}"' in page_text(client.get(reverse("holder_pdf", args=[key])))
    page = page_text(client.get(read, {"size": "M"}))
    assert "Help 1: Foundation chain" in page
    assert "1 correction</a> to version 1.0" in page or "1 correction to version 1.0" in page
    assert client.get(reverse("holder_read", args=[f"{key}x"])).status_code == 404
