"""One act puts a question and its answer on the page of the pattern; nothing there tells who asked."""

import datetime as dt

import pytest
from django.test import Client
from django.urls import reverse

from catalogue.models import MakerQuestion
from catalogue.questions.questions import lead_to
from catalogue.questions.shown import LONGEST_ANSWER, MOST_ON_PAGE
from tests.builders import make_person
from tests.catalogue.builders import make_pattern, make_version
from tests.pages import page_text

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


@pytest.fixture
def version():
    return make_version(make_pattern())


@pytest.fixture(autouse=True)
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def asked(version, **changes):
    known = {
        "says": "Ida here: which row of the <hem>?", "name": "Ida Fulling", "email": "ida@larkmoss.example",
        "place": "sections[0].steps[0]", "asked_on": dt.date(2026, 3, 2), "answer": "The first one.",
    }  # fmt: skip
    return MakerQuestion.objects.create(pattern=version.pattern, version=version, **{**known, **changes})


def act(client, question, name, **typed):
    address = reverse(f"question_{name}", args=[question.pattern.slug, question.pk])
    return client.post(address, typed, follow=True)


def public(version):
    return " ".join(page_text(Client().get(reverse("pattern_page", args=[version.pattern.slug]))).split())


def test_an_answer_is_on_the_page_after_one_act_and_off_it_after_another(client, version):
    question = asked(version)
    assert "Questions and answers" not in public(version)
    act(client, question, "show", shown_as="Which row of the <hem>?")
    page = public(version)
    assert "<summary>Back, step 1: Which row of the &lt;hem&gt;?</summary> <p>The first one.</p>" in page
    for told in ("Ida", "Fulling", "larkmoss.example"):
        assert told not in page.partition("Questions and answers")[2].partition("<h2>")[0]
    act(client, question, "answer", answer="The second one.")
    assert "The first one." in public(version), "visitors read what was put there"
    said = page_text(act(client, question, "show", shown_as="Which row?"))
    assert "on the pattern’s page now" in said
    assert "<p>The second one.</p>" in public(version)
    act(client, question, "hide")
    assert "Questions and answers" not in public(version)


@pytest.mark.parametrize("told", ["ida", "Fulling", "ida@larkmoss.example"])
def test_words_that_tell_who_asked_are_refused_and_kept_as_typed(client, version, told):
    answer = act(client, asked(version), "show", shown_as=f"Which row, asks {told}?")
    assert answer.status_code == 400
    said = " ".join(page_text(answer).split())
    assert "tells who asked: take it out of the question and the answer." in said
    assert f"Which row, asks {told}?" in said
    assert "Questions and answers" not in public(version)


def test_the_name_of_somebody_who_asked_the_same_is_refused_too_and_in_the_answer(client, version):
    question = asked(version, answer="Moss, it is the first one.")
    again = asked(version, name="Moss Reed", email="", answer="")
    lead_to(question=again, first=question)
    said = page_text(act(client, again, "show", shown_as="Which row?"))
    assert "“Moss” tells who asked" in said


def test_what_has_no_answer_or_a_long_one_is_not_shown(client, version):
    question = asked(version, answer="")
    assert "There is no answer yet" in page_text(act(client, question, "show", shown_as="Which row?"))
    MakerQuestion.objects.update(answer="x" * (LONGEST_ANSWER + 1))
    said = page_text(act(client, question, "show", shown_as="Which row?"))
    assert "The answer is too long for the page: shorten it to 1200 characters." in said
    assert "Questions and answers" not in public(version)


def test_erasing_who_asked_takes_their_words_off_the_page(client, version):
    question = asked(version)
    act(client, question, "show", shown_as="Which row?")
    act(client, question, "erase")
    question.refresh_from_db()
    assert (question.shown_as, question.shown_answer, question.shown_at) == ("", "", None)
    assert "Questions and answers" not in public(version)


def test_an_editor_shows_nothing_and_the_page_has_the_newest_few(client, version):
    for number in range(MOST_ON_PAGE + 1):
        act(client, asked(version, place=""), "show", shown_as=f"Which row, {number}?")
    page = public(version)
    assert page.count("<summary>The whole pattern: Which row,") == MOST_ON_PAGE
    assert "Which row, 0?" not in page
    client.force_login(make_person(role="editor"))
    assert act(client, asked(version), "show", shown_as="Which row?").status_code in (403, 404)
