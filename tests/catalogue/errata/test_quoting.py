"""What a version says at a spot: as any edition prints it; of one that it does not have, nothing."""

import pytest
from django.urls import reverse

from catalogue.errata.quoting import says_there, why_not_quoted
from catalogue.versions.freezing import step_text
from catalogue.versions.records import read_record
from grading.core.grade.grade import grade
from grading.core.instructions.facts import facts_of
from grading.core.instructions.steps import render_step
from grading.core.pattern.file import read_pattern
from grading.core.printing.edition import PrintForm
from tests.builders import make_person, sample
from tests.catalogue.builders import make_pattern, make_version

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


@pytest.fixture
def record():
    return read_record(make_version(make_pattern("puffinbay_child")).record)


@pytest.mark.parametrize("place", ["sections[99].steps[0]", "sections[1].steps[99]", "values.nothing"])
def test_a_spot_that_a_version_does_not_have_says_nothing_and_refuses_nothing(record, place):
    assert says_there(place, record) == says_there(place, record, "2y") == ""
    assert says_there("sections[1].steps[0]", record, "no size") == ""
    assert why_not_quoted(place, [], "Any words.", record) is None


def test_every_step_can_be_quoted_as_any_edition_prints_it(record):
    pattern = read_pattern(sample("puffinbay_child"))
    facts = facts_of(pattern, grade(pattern))
    forms = [
        PrintForm(units, terms, size)
        for units in ("cm", "in", "both")
        for terms in ("US", "UK")
        for size in (None, "6y")
    ]
    for i, section in enumerate(pattern.sections):
        for j, step in enumerate(section.steps):
            for form in forms:
                says = step_text(render_step(step, facts, form, section.when))
                assert why_not_quoted(f"sections[{i}].steps[{j}]", [], says, record) is None, (i, j, form)


def test_words_that_are_not_there_are_refused(record):
    assert "does not say this" in str(why_not_quoted("sections[1].steps[0]", [], "999 rows", record)).lower()


def test_what_is_shown_is_of_the_one_size_that_is_ticked(client, record):
    client.force_login(make_person(role="designer"))
    address = reverse("erratum_new", args=[record["slug"]])
    place = next(f"values.{name}" for name in record["results"]["values"])
    for sizes in (["4y"], ["2y", "4y"]):
        page = client.post(address, {"show": "1", "place": place, "sizes": sizes})
        shown = says_there(place, record, "4y" if len(sizes) == 1 else "")
        assert page.context["form"].initial["says"] == shown
    assert says_there(place, record, "4y") != says_there(place, record)
