"""Rights and the use of finished items as an edition prints them; what was frozen without prints none."""

import datetime as dt
import re

import pytest
from django.template.loader import render_to_string
from django.urls import reverse

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import edition_context, graded_as_frozen
from catalogue.models import RightsNote
from catalogue.versions.frozen_rights import renew_rights
from tests.builders import make_person
from tests.catalogue.builders import make_pattern, make_record
from tests.pages import page_text

pytestmark = pytest.mark.django_db


def pages_of(record):
    context = edition_context(record=record, graded=graded_as_frozen(record), choices=home_choices(record))
    return " ".join(render_to_string("catalogue/pdf/edition.html", {**context, "has_contents": True}).split())


def test_an_edition_prints_rights_behind_its_cautions_and_names_them_in_its_contents():
    pattern = make_pattern()
    pattern.rights = {"notes": ["Mill (yarn maker) has rights."], "finished_use": "Sell <it>.\n\nName us."}
    pages = pages_of(make_record(pattern))
    part = re.search(r'<section class="rights">(.*?)</section>', pages)
    assert part is not None
    assert "<p>Mill (yarn maker) has rights.</p>" in part[1]
    assert "<p>Sell &lt;it&gt;.</p> <p>Name us.</p>" in part[1]
    assert pages.index('id="cautions"') < pages.index('id="rights"') < pages.index('id="version"')
    assert 'href="#rights"' in pages


@pytest.mark.parametrize("rights", [{}, {"finished_use": "Sell it."}, {"notes": ["Mill has rights."]}])
def test_what_is_not_said_is_not_printed(rights):
    pattern = make_pattern()
    pattern.rights = rights
    pages = pages_of(make_record(pattern))
    assert ("Rights and finished items" in pages) == bool(rights)
    assert ("Sell it." in pages) == ("finished_use" in rights)
    assert ("Mill has rights." in pages) == ("notes" in rights)


def test_rights_that_came_back_are_told_as_past_though_nobody_saved_them_since():
    pattern = make_pattern()
    RightsNote.objects.create(pattern=pattern, whose="Quarterly", back_on=dt.date(2021, 1, 1))
    RightsNote.objects.create(pattern=pattern, whose="Mill", kind="yarn", back_on=dt.date(2999, 1, 1))
    renew_rights(pattern)
    assert make_record(pattern)["rights"]["notes"] == [
        "Quarterly (magazine) had rights in this pattern; they came back to the designer on 1 January 2021.",
        "Mill (yarn maker) has rights in this pattern; they come back to the designer on 1 January 2999.",
    ]


def test_the_seller_s_page_shows_rights_as_the_next_version_prints_them(client):
    client.force_login(make_person(role="designer"))
    pattern = make_pattern()
    RightsNote.objects.create(pattern=pattern, whose="Quarterly", back_on=dt.date(2021, 1, 1))
    renew_rights(pattern)
    page = page_text(client.get(reverse("selling", args=[pattern.slug])))
    printed = page[page.index("What the next version prints") :]
    assert make_record(pattern)["rights"]["notes"][0] in printed
    assert "has rights in this pattern" not in printed
