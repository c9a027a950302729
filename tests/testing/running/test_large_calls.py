"""A call with two thousand applications is as quick to look at as one with ten: page by page."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from testing.models import Application
from testing.places.places import give_place
from testing.places.proposal_forms import ProposalForm
from testing.places.proposals import MOST_SHOWN, propose_places
from tests.pace import fewest_seconds, slowness
from tests.testing.builders import make_call, make_person, make_studio

pytestmark = pytest.mark.django_db
PEOPLE = 2_000
LONGEST_S = 0.4
MOST_QUERIES = 25


def make_applications(call, number):
    """Applications as stored, without the letters that go with them."""
    now = timezone.now()
    Application.objects.bulk_create(
        Application(
            call=call,
            name=f"Applicant {at:04}",
            email=f"applicant{at}@larkmoss.example",
            body_mm={"bust": 800.0 + at % 400},
            typed_body={"bust": f"{(800 + at % 400) / 10:g}"},
            sizes=[("S", "M", "L")[at % 3]],
            yarn="Larkmoss Orrendale",
            experience=at % 4,
            consent_text="As it was shown.",
            consented_at=now,
        )
        for at in range(number)
    )
    return list(call.applications.all())


@pytest.fixture
def call():
    make_studio()
    return make_call()


@pytest.fixture
def designer(client):
    client.force_login(make_person("ida@larkmoss.example", role="designer"))
    return client


def address(name, call):
    return reverse(name, kwargs={"slug": call.pattern.slug, "pk": call.pk})


def took(client, url, **query):
    """The server's own work on a page, in s."""
    return fewest_seconds(lambda: client.get(url, query), LONGEST_S)


@pytest.mark.parametrize("name", ["call", "call_consents", "calls"])
def test_a_call_with_thousands_of_applications_answers_quickly(
    designer, call, name, django_assert_max_num_queries
):
    make_applications(call, PEOPLE)
    url = reverse("calls", args=[call.pattern.slug]) if name == "calls" else address(name, call)
    with django_assert_max_num_queries(MOST_QUERIES):
        page = designer.get(url).content.decode()
    assert len(page) < 200_000
    assert took(designer, url) < LONGEST_S * slowness()
    if name != "calls":
        assert took(designer, url, page="40") < LONGEST_S * slowness()


def test_the_number_of_queries_does_not_grow_with_the_applications(designer, call, django_assert_num_queries):
    make_applications(call, 60)
    designer.get(address("call", call))
    with CaptureQueriesContext(connection) as few:
        designer.get(address("call", call))
    Application.objects.all().delete()
    make_applications(call, PEOPLE)
    with django_assert_num_queries(len(few)):
        designer.get(address("call", call))


def test_every_application_stands_on_one_page_and_those_to_decide_on_come_first(designer, call):
    people = make_applications(call, 120)
    for one in people[:2]:
        give_place(application=one, size="S")
    Application.objects.filter(pk=people[2].pk).update(state="finished")
    pages = [designer.get(address("call", call), {"page": number}).content.decode() for number in (1, 2, 3)]
    found = [[one.name for one in people if f" {one.name} <span" in page] for page in pages]
    assert [len(names) for names in found] == [50, 50, 20]
    assert sorted(name for names in found for name in names) == [one.name for one in people]
    assert {people[0].name, people[1].name, people[2].name} <= set(found[2])
    assert "Page 1 of 3" in pages[0]
    assert "120 applications" in pages[0]
    assert 'href="?page=2#applications"' in pages[0]


@pytest.mark.parametrize("number", ["0", "-1", "x", "99999999999999999999", "", "\x00"])
def test_a_page_that_there_is_not_shows_another(designer, call, number):
    make_applications(call, 60)
    for name in ("call", "call_consents"):
        assert designer.get(address(name, call), {"page": number}).status_code == 200


def test_a_short_list_of_applications_has_no_pages(designer, call):
    make_applications(call, 3)
    assert "Page 1 of" not in designer.get(address("call", call)).content.decode()


def test_every_consent_stands_on_one_page(designer, call):
    people = make_applications(call, 120)
    url = address("call_consents", call)
    pages = [designer.get(url, {"page": number}).content.decode() for number in (1, 2, 3)]
    found = [[one.name for one in people if f">{one.name}</th>" in page] for page in pages]
    assert [name for names in found for name in names] == [one.name for one in people]


def test_a_proposal_for_thousands_can_be_sent_as_it_is_shown(designer, call):
    make_applications(call, PEOPLE)
    page = designer.get(address("proposal", call)).content.decode()
    shown = page.count('<select class="form-select"')
    assert shown == MOST_SHOWN
    assert f"{PEOPLE - MOST_SHOWN:,} more applicants are waiting" in page
    proposal = propose_places(call)
    sent = {f"size-{row.application.pk}": row.size for row in proposal.shown}
    sent |= {f"keep-{row.application.pk}": "on" for row in proposal.shown}
    again = designer.post(address("proposal_again", call), sent)
    assert again.status_code == 200
    placed = {row.application.pk for row in proposal.rows if row.size}
    assert placed <= {row.application.pk for row in proposal.shown}
    form = ProposalForm(again.wsgi_request.POST, call=call)
    assert set(form.chosen()) == placed
