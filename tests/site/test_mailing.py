"""E-mails: what they say, who may get them, and the folder where they land."""

from email.utils import parseaddr

import pytest
from django.core import mail

from catalogue.studio.mail_folder import list_mails, read_mail
from catalogue.studio.mailing import MailRefused, post_mail, send_mail
from tests.builders import make_studio

pytestmark = pytest.mark.django_db
INVITATION = {"role": "editor", "url": "https://studio.example/invitation/k/", "until": None}


def test_an_email_comes_from_the_studio_and_names_it():
    make_studio(name="Larkmoss & Sons", address="3 Fulling Lane")
    send_mail(to="ida@larkmoss.example", template="invitation", context=INVITATION)
    (sent,) = mail.outbox
    assert sent.to == ["ida@larkmoss.example"]
    assert sent.subject == "Join Larkmoss & Sons"
    assert parseaddr(sent.from_email) == ("Larkmoss & Sons", "hello@larkmoss.example")
    assert "invited to Larkmoss & Sons as editor" in sent.body
    assert "3 Fulling Lane" in sent.body
    assert "Subject:" not in sent.body


@pytest.mark.parametrize(
    "to",
    [
        "a@larkmoss.example\r\nBcc: v@larkmoss.example",
        "a@larkmoss.example\nBcc: v@larkmoss.example",
        "a@larkmoss.example,b@larkmoss.example",
        "Ann\r\nBcc: v@larkmoss.example <a@larkmoss.example>",
        "a@larkmoss.example ",
        "",
    ],
)
def test_more_than_one_plain_address_is_refused(to):
    with pytest.raises(MailRefused, match="exactly one address"):
        post_mail(to=to, subject="Hello", text="Text")
    assert mail.outbox == []


@pytest.mark.parametrize("subject", ["a\r\nBcc: v@larkmoss.example", "a\nb", "a\u2028b", ""])
def test_a_subject_of_more_than_one_line_is_refused(subject):
    with pytest.raises(MailRefused, match="one line"):
        post_mail(to="a@larkmoss.example", subject=subject, text="Text")


@pytest.mark.parametrize("name", ["Moss\r\nBcc: v@larkmoss.example", "Moss\rBcc: v@larkmoss.example"])
def test_line_breaks_in_what_fills_a_subject_make_no_header(name):
    make_studio(name=name)
    try:
        send_mail(to="a@larkmoss.example", template="invitation", context=INVITATION)
    except (MailRefused, ValueError):
        assert mail.outbox == []
    for sent in mail.outbox:
        assert "\nBcc:" not in sent.message().as_string().split("\n\n")[0]
        assert sent.recipients() == ["a@larkmoss.example"]


def test_the_folder_keeps_every_email_for_the_page(settings):
    settings.EMAIL_BACKEND = "catalogue.studio.mail_folder.FolderBackend"
    make_studio(name="Larkmöss")
    post_mail(to="ida@larkmoss.example", subject="Grüße ½", text="Zeile – 1\n", html="<p>Zeile</p>")
    post_mail(to="ida@larkmoss.example", subject="Second", text="x")
    mails = list_mails()
    assert {one.subject for one in mails} == {"Grüße ½", "Second"}
    found = next(one for one in mails if one.subject == "Grüße ½")
    assert (found.to, found.text.strip()) == ("ida@larkmoss.example", "Zeile – 1")
    assert read_mail(found.name) == found
    assert [path.stat().st_mode & 0o077 for path in settings.MAIL_DIR.iterdir()] == [0, 0]


@pytest.mark.parametrize(
    "name", ["../secret_key", "20260101-000000-0000000g", "", "20260101-000000-00000000"]
)
def test_nothing_else_is_read_from_the_folder(settings, name):
    settings.MAIL_DIR.mkdir()
    (settings.MAIL_DIR.parent / "secret_key.eml").write_text("Subject: no\n\nno")
    assert read_mail(name) is None
