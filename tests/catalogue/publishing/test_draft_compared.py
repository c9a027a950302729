"""The draft beside a published version: what it would change, for those who work on it."""

import pytest
from django.urls import reverse

from catalogue.models import Version
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_version, value_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


def widen(document):
    value_of(document, "ease")["steps"]["base"] = "16 cm"
    document["sections"][0]["steps"][0] += " Work loosely."


def page_of(name, pattern):
    return reverse(name, args=[pattern.slug])


def test_the_draft_is_compared_as_the_version_made_of_it_is(client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")
    client.force_login(make_person(role="editor"))
    page = page_of("draft_compared", pattern)
    assert "Nothing differs." in client.get(page).content.decode()
    edit(pattern, widen)
    draft = client.get(page)
    of_size = client.get(page, {"size": "M"})
    assert "the draft compared with 1.0" in draft.content.decode()
    assert Version.objects.count() == 1
    make_version(pattern, number="1.1")
    asked = {"since": "1.0"}
    frozen = client.get(reverse("version", args=[pattern.slug, "1.1"]), asked)
    frozen_size = client.get(reverse("version", args=[pattern.slug, "1.1"]), asked | {"size": "M"})
    assert draft.context["changes"] == frozen.context["changes"]
    assert draft.context["number_rows"] == frozen.context["number_rows"]
    assert of_size.context["steps"] == frozen_size.context["steps"] != []
    assert "Steps that changed in size M" in of_size.content.decode()
    assert "Work loosely" in draft.content.decode()


def test_pages_of_versions_and_of_the_technical_edit_lead_to_the_last_release(designer_client):
    pattern = make_pattern()
    pages = [page_of(name, pattern) for name in ("versions", "technical_edit")]
    assert not any("Compare the draft" in designer_client.get(page).content.decode() for page in pages)
    assert designer_client.get(page_of("draft_compared", pattern)).status_code == 404
    make_version(pattern, number="1.0")
    make_version(pattern, number="1.1")
    make_version(pattern, kind="test", number="1.2")
    link = f'<a href="{page_of("draft_compared", pattern)}">Compare the draft with 1.1</a>'
    assert all(link in designer_client.get(page).content.decode() for page in pages)
    compared = designer_client.get(page_of("draft_compared", pattern), {"since": "nothing"})
    assert compared.context["since"].number == "1.1"
    asked = designer_client.get(page_of("draft_compared", pattern), {"since": "1.2"})
    assert asked.context["since"].number == "1.2"


def test_a_draft_with_a_stop_is_compared(designer_client):
    pattern = make_pattern()
    make_version(pattern, number="1.0")

    def break_it(document):
        document["sections"][0]["steps"][0] += " {no_such_number}"

    edit(pattern, break_it)
    for asked in ({}, {"size": "M"}):
        answer = designer_client.get(page_of("draft_compared", pattern), asked)
        assert answer.status_code == 200
        assert "no_such_number" in answer.content.decode()


def test_the_comparison_asks_the_database_little(designer_client, django_assert_max_num_queries):
    pattern = make_pattern()
    for number in ("1.0", "1.1", "1.2"):
        make_version(pattern, number=number)
    edit(pattern, widen)
    with django_assert_max_num_queries(25):
        designer_client.get(page_of("draft_compared", pattern), {"size": "M"})
