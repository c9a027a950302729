"""A question by the form of a pattern: one e-mail to the studio, and kept without who asked."""

import time

import pytest
from django.conf import settings as program
from django.core import mail
from django.test import Client
from django.urls import reverse

from catalogue.models import Letter, MakerQuestion, Studio, Version
from catalogue.studio.forgetting import forget_address
from catalogue.versions.records import frozen_record
from tests.builders import make_studio
from tests.catalogue.builders import make_pattern, make_version

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]
SHARED = program.CACHES
IDA = "ida@larkmoss.example"
ASKED = {"question": "Hello,\nDoes row 3 end with a turn?\n\nThanks,\nIda", "email": IDA, "name": "Ida"}


@pytest.fixture
def address():
    make_studio()
    version = make_version(make_pattern())
    return reverse("ask_question", args=[version.pattern.slug])


def test_it_reaches_the_studio_and_is_kept_without_who_asked(client, address):
    asked_at = f"{address}?version=1.0&step=1.0&size=M"
    form = client.get(asked_at).context["form"]
    assert form["size"].value() == "M"
    assert "where" not in form.fields, "the address names the step"
    answer = client.post(asked_at, {**ASKED, "size": "M"})
    assert "Your question is sent" in answer.content.decode()
    assert "Does row 3 end with a turn?" in answer.content.decode().partition("What was sent")[2]
    (sent,) = mail.outbox
    assert sent.to == [Studio.objects.get().sender]
    assert sent.reply_to == [IDA]
    assert sent.subject == "A question about Brackenmere Pullover 1.0"
    assert "Ida asks about Brackenmere Pullover 1.0, size M. " in sent.body
    kept = MakerQuestion.objects.get()
    assert (kept.says, kept.place, kept.name, kept.email) == (
        "Size M: Does row 3 end with a turn?", "sections[1].steps[0]", "", "",
    )  # fmt: skip
    letter = Letter.objects.get()
    assert (letter.state, letter.to, letter.reply_to, letter.text) == ("sent", "", "", "")


def test_the_same_question_sent_twice_is_one_and_the_page_says_that_it_arrived(
    client, address, settings, monkeypatch
):
    settings.CACHES = SHARED
    asked_at = f"{address}?version=1.0&step=1.0"
    first, again = (client.post(asked_at, ASKED) for _ in range(2))
    assert "a second time" not in first.content.decode()
    page = again.content.decode()
    assert "Your question is sent" in page
    assert "It has arrived already, and was not sent a second time." in page
    assert len(mail.outbox) == MakerQuestion.objects.count() == 1
    # Whoever else asks the same waits for an answer as well, and what is typed otherwise is another question.
    for other in ({"email": "olive@larkmoss.example"}, {"question": "Does row 4 end with a turn?"}):
        assert "a second time" not in client.post(asked_at, {**ASKED, **other}).content.decode()
    assert len(mail.outbox) == MakerQuestion.objects.count() == 3
    later = time.time() + 11 * 60
    monkeypatch.setattr("time.time", lambda: later)
    client.post(asked_at, ASKED)
    assert MakerQuestion.objects.count() == 4


def test_a_question_that_could_not_be_sent_can_be_sent_once_more(client, address, settings, monkeypatch):
    settings.CACHES = SHARED
    with monkeypatch.context() as broken:
        broken.setattr("catalogue.questions.asking.send_mail", lambda **_: False)
        assert "could not be sent: try again" in client.post(address, ASKED).content.decode()
    assert "a second time" not in client.post(address, ASKED).content.decode()
    assert len(mail.outbox) == MakerQuestion.objects.count() == 1


def test_who_asks_about_the_pattern_says_where_and_in_which_size(client, address):
    answer = client.post(address, {**ASKED, "size": "L", "where": "Sleeve, row 8"})
    assert "The answer goes to ida@larkmoss.example" in answer.content.decode()
    assert "Ida asks about Brackenmere Pullover 1.0, size L. Sleeve, row 8:" in mail.outbox[0].body
    assert MakerQuestion.objects.get().says == "Size L, Sleeve, row 8: Does row 3 end with a turn?"
    assert client.post(address, {**ASKED, "size": "9X"}).status_code == 400


def test_a_step_that_is_typed_as_the_copy_names_it_is_the_place_of_the_question(client, address):
    titles = [one["title"] for one in frozen_record(Version.objects.get().record)["words"]]
    for typed in (f"{titles[1]}, step 2", f"{titles[1].upper()} step 2."):
        client.post(address, {**ASKED, "where": typed})
        kept = MakerQuestion.objects.latest("pk")
        assert (kept.place, kept.says) == ("sections[1].steps[1]", "Does row 3 end with a turn?")
        assert f"{titles[1]}, step 2:" in mail.outbox[-1].body
    client.post(address, {**ASKED, "where": f"{titles[1]}, step 99"})
    kept = MakerQuestion.objects.latest("pk")
    assert (kept.place, kept.says) == ("", f"{titles[1]}, step 99: Does row 3 end with a turn?")


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"email": "ida"}, "This is not an e-mail address"),
        ({"question": "Hello,"}, "Only a greeting or a name was left"),
        ({"name": "www.larkmoss.example"}, "A name can&#x27;t contain a web link"),
        ({"question": ""}, "This field is required."),
    ],
)
def test_what_can_t_be_sent_says_why_and_keeps_what_was_typed(client, address, typed, says):
    answer = client.post(address, {**ASKED, **typed})
    page = answer.content.decode()
    assert answer.status_code == 400
    assert says in page
    assert "Thanks," in page or "question" in typed
    assert not mail.outbox
    assert not MakerQuestion.objects.exists()


def test_programs_and_floods_get_nowhere(address):
    visitor = Client()
    trapped = visitor.post(address, {**ASKED, "leave_empty": "https://larkmoss.example"})
    assert trapped.status_code == 400
    assert "Send it once more." in trapped.content.decode()
    assert not mail.outbox
    answers = [visitor.post(address, {**ASKED, "question": f"Is row {row} right?"}) for row in range(12)]
    assert len(mail.outbox) == MakerQuestion.objects.count() == 5
    assert answers[-1].status_code == 429
    assert "Is row 11 right?" in answers[-1].content.decode()


def test_the_page_leads_there_and_odd_addresses_ask_about_the_whole_pattern(client, address):
    slug = address.split("/")[2]
    page = client.get(reverse("pattern_page", args=[slug])).content.decode()
    assert f'href="{address}?version=1.0"' in page
    for query in ("version=9.9", "step=99.99&size=9X", "step=x&version=%00"):
        shown = client.get(f"{address}?{query}")
        assert shown.status_code == 200
        assert "Version 1.0" in shown.content.decode()
    assert client.get(reverse("ask_question", args=["no-such"])).status_code == 404
    Studio.objects.update(sender="")
    assert client.get(address).status_code == 404


def test_a_letter_whose_answer_goes_to_an_erased_address_is_not_sent(address, settings):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}  # letters wait
    Client().post(address, ASKED)
    assert Letter.objects.get().reply_to == IDA
    forget_address(IDA.upper())
    assert not Letter.objects.exists()
