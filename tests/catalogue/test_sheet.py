"""The sheet page and the forms of its entries."""

import copy

import pytest
from django.urls import reverse

from catalogue.documents import pattern_document
from catalogue.models import Pattern, PatternEdit
from catalogue.patterns import load_pattern
from grading.models import StoredResult
from tests.builders import make_person, sample

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def load(name="brackenmere_pullover", **changes) -> Pattern:
    return load_pattern(document={**sample(name), **changes}, by=None)


def fresh(pattern: Pattern) -> Pattern:
    return Pattern.objects.select_related("sheet").get(pk=pattern.pk)


def typed(client, url, **changes) -> dict:
    """What the form of a page holds, with changes: as a browser would send it."""
    form = client.get(url).context["form"]
    data = {name: form[name].value() for name in form.fields}
    data = {
        key: "on" if content is True else content
        for key, content in data.items()
        if content not in (None, False)
    }
    return {**data, **changes}


def worked(pattern: Pattern, name: str) -> list:
    return StoredResult.objects.get(sheet=pattern.sheet, part="values", name=name).figures["worked"]


def test_the_grid_shows_every_value_in_the_persons_units(client, designer):
    pattern = load()
    page = client.get(reverse("sheet", args=[pattern.slug])).content.decode()
    assert "Chest wanted" in page
    assert "fronts meet" not in page
    designer.units = "in"
    designer.save()
    inches = client.get(reverse("sheet", args=[pattern.slug])).content.decode()
    assert page != inches


def test_the_value_form_opens_with_what_is_stored(client, designer):
    pattern = load()
    url = reverse("value", args=[pattern.slug, "chest_target"])
    page = client.get(url)
    assert page.status_code == 200
    assert page.context["form"]["formula"].value() == "bust + ease"


def test_saving_the_form_untouched_changes_nothing(client, designer):
    for name in ("brackenmere_pullover", "cinderfell_raglan", "puffinbay_child", "thistledrift_waistcoat"):
        pattern = load(name)
        before = pattern_document(fresh(pattern))
        for value in before["values"]:
            url = reverse("value", args=[pattern.slug, value["name"]])
            answer = client.post(url, typed(client, url))
            assert answer.status_code == 302, answer.context["form"].errors
        assert pattern_document(fresh(pattern)) == before
        assert not PatternEdit.objects.filter(pattern=pattern).exists()


def test_changing_ease_changes_numbers_and_says_so(client, designer):
    pattern = load()
    before = worked(pattern, "chest_target")
    url = reverse("value", args=[pattern.slug, "ease"])
    answer = client.post(url, typed(client, url, steps__base="14 cm"), follow=True)
    after = worked(pattern, "chest_target")
    assert [round(b - a, 6) for a, b in zip(before, after, strict=True)] == [20.0] * 9
    assert "numbers in 9 sizes" in str(next(iter(answer.context["messages"])))
