"""Pages for what went wrong say it in one sentence, in our look, without a code."""

import re

import pytest
from django.template.loader import get_template
from django.test import Client
from django.urls import reverse

PAGES = ["400", "403", "403_csrf", "404", "405", "409", "413", "429", "500", "503", "503_files", "503_full"]


@pytest.mark.parametrize("name", PAGES)
def test_every_error_page_needs_nothing_from_the_program(name):
    page = get_template(f"{name}.html").render()
    text = re.sub(r"<[^>]+>|\s+", " ", page.split("<main", 1)[1].split("</main>", 1)[0])
    assert len(re.findall(r"<h1>[^<]+</h1>", page)) == 1
    assert not re.search(r"\b[45]\d\d\b", text)
    assert "Go to the first page" in text


@pytest.mark.parametrize("name", PAGES)
def test_a_sentence_of_the_program_takes_the_place_of_the_usual_one(name):
    page = get_template(f"{name}.html").render({"says": "The swatch <b> is missing."})
    assert "The swatch &lt;b&gt; is missing." in page


@pytest.mark.django_db
def test_a_missing_page_is_answered_with_ours(client):
    answer = client.get("/no/such/page/")
    assert answer.status_code == 404
    assert "There is no page here" in answer.content.decode()
    assert not answer.cookies


@pytest.mark.django_db
def test_a_form_without_its_token_is_answered_with_ours():
    answer = Client(enforce_csrf_checks=True).post(reverse("account_login"), {"login": "x@example.com"})
    assert answer.status_code == 403
    assert "The form was not accepted" in answer.content.decode()


@pytest.mark.django_db
def test_the_address_of_a_button_opened_as_a_page_says_what_to_do(client):
    answer = client.get(reverse("my_units"))
    assert (answer.status_code, answer["Allow"]) == (405, "POST")
    assert "Go back to that page and press the button" in " ".join(answer.content.decode().split())
