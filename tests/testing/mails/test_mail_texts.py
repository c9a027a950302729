from typing import Any

import pytest
from django.core import mail
from django.urls import reverse

from testing.mails.mails import wording_of, written
from testing.mails.texts import EXAMPLE, KINDS, filled, trouble_with
from testing.models import MailText
from testing.places.places import give_place
from tests.testing.builders import make_application, make_person

OWN = {"subject": "Yarn ahoy, {name}", "text": "Dear {name},\n\nsize {size} is yours: {url}"}


def address(kind="offer", name="mail_text"):
    return reverse(name, args=[kind])


@pytest.mark.parametrize("kind", KINDS.values(), ids=list(KINDS))
def test_the_usual_words_use_only_fields_that_are_known(kind):
    for words in (kind.subject, kind.text):
        assert trouble_with(words, kind) == ""
    assert "{url}" in kind.text
    assert set(kind.fields) <= set(EXAMPLE)
    shown = written_example(kind)
    assert "{" not in shown["subject"] + shown["text"]


@pytest.mark.django_db
def test_every_kind_is_listed(as_designer):
    page = as_designer.get(reverse("mail_texts")).content.decode()
    assert all(kind.label in page for kind in KINDS.values())


def written_example(kind):
    return {"subject": filled(kind.subject, EXAMPLE), "text": filled(kind.text, EXAMPLE)}


def test_own_words_go_out_in_text_and_html(as_designer, call):
    assert as_designer.post(address(), OWN).url == reverse("mail_texts")
    give_place(application=make_application(call, name="Wren <b>{url}</b>"), size="M")
    message: Any = mail.outbox[-1]
    assert message.subject == "Yarn ahoy, Wren <b>{url}</b>"  # a name never becomes a field
    assert "size M is yours: http" in message.body
    assert "Larkmoss Studio" in message.body
    html = message.alternatives[0][0]
    assert "Wren &lt;b&gt;{url}&lt;/b&gt;" in html
    assert '<a href="http' in html
    assert "<p>Dear" in html


def test_a_preview_shows_what_was_typed_and_keeps_nothing(as_designer):
    page = as_designer.post(address(name="mail_text_preview"), OWN).content.decode()
    assert "Yarn ahoy, Wren</strong>" in page
    assert "size M is yours" in page
    assert "Dear {name}," in page  # still in the form
    assert not MailText.objects.exists()


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"text": "Hello {bust} {url}"}, "There is no {bust} in this e-mail; you can use {name}"),
        ({"text": "Hello {name {url}"}, "A curly bracket has no partner"),
        ({"text": "Hello"}, "Put {url} where the link"),
        ({"subject": ""}, "Write both, or leave both empty."),
        ({"subject": "One\nBcc: all@larkmoss.example"}, "one line"),
        ({"subject": "x" * 151}, "at most 150 characters"),
    ],
)
@pytest.mark.parametrize("name", ["mail_text", "mail_text_preview"])
def test_words_that_do_not_work_are_refused_and_stay_in_the_form(as_designer, name, changes, says):
    page = as_designer.post(address(name=name), {**OWN, **changes}).content.decode()
    assert says in page.replace("&#x27;", "'")
    assert (changes.get("text") or "Dear {name}").split("\n")[0] in page
    assert not MailText.objects.exists()


@pytest.mark.django_db
def test_empty_words_or_the_usual_ones_mean_the_usual_ones(as_designer):
    kind = KINDS["offer"]
    as_designer.post(address(), OWN)
    assert wording_of(kind).subject == OWN["subject"]
    as_designer.post(address(), {"subject": "", "text": ""})
    assert wording_of(kind).subject == kind.subject
    as_designer.post(address(), {"subject": kind.subject, "text": kind.text.replace("\n", "\r\n")})
    assert not MailText.objects.exists()


def test_a_title_of_several_lines_makes_a_subject_of_one(studio):
    assert (
        written(wording_of(KINDS["thanks"]), {**EXAMPLE, "title": "A\nB"})["subject"] == "Thank you for A B"
    )


def test_unknown_kinds_and_others_than_designers_get_not_found(as_designer, client, editor):
    assert as_designer.get(address("invoice")).status_code == 404
    client.force_login(editor)
    assert client.get(address()).status_code == 404
    client.force_login(make_person("t@larkmoss.example"))
    assert client.post(address(), OWN).status_code == 404
