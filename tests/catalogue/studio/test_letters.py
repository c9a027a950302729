"""Letters wait in a table of their own: none is lost, each goes once, and what can't go is shown."""

import datetime as dt
import re

import pytest
from django.core import mail
from django.core.mail.backends.base import BaseEmailBackend
from django.db import connection, transaction
from django.db.migrations.executor import MigrationExecutor
from django.urls import reverse
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from catalogue.models import Letter, Studio
from catalogue.studio.letters import (
    IN_HAND,
    KEPT,
    due_letters,
    forget_settled_letters,
    send_again,
    send_letters,
    sweep_letters,
)
from catalogue.studio.mail_handover import MOST_TRIES, wait_before_next
from catalogue.studio.mailing import post_mail
from tests.builders import make_person, make_studio
from tests.catalogue.smtp_sink import Sink
from tests.present import present

pytestmark = pytest.mark.django_db
IDA, OLIVE = "ida@larkmoss.example", "olive@larkmoss.example"


@pytest.fixture
def sink(settings):
    opened = Sink()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", opened.port
    yield opened
    opened.close()


@pytest.fixture(autouse=True)
def studio():
    return make_studio()


@pytest.fixture
def clock(monkeypatch):
    """A clock that is turned by hand: clock(hours=1)."""
    start = timezone.now() + dt.timedelta(minutes=1)  # letters are dated by the clock on the wall
    passed = [dt.timedelta()]
    monkeypatch.setattr("catalogue.studio.letters.timezone.now", lambda: start + passed[0])

    def turn(**by):
        passed[0] += dt.timedelta(**by)
        return passed[0]

    return turn


def post(to=IDA, **more):
    post_mail(to=to, subject=more.pop("subject", "Hello"), text=more.pop("text", "Text of Ida"), **more)
    return Letter.objects.latest("pk")


def test_a_letter_that_went_leaves_neither_address_nor_words(sink):
    letter = post(html="<p>Text of Ida</p>")
    letter.refresh_from_db()
    assert (letter.state, letter.tries) == ("sent", 1)
    assert (letter.to, letter.subject, letter.text, letter.html, letter.says) == ("", "", "", "", "")
    assert sink.taken == {IDA: 1}
    assert str(letter.name) in sink.last["Message-ID"]


def test_an_edit_that_is_undone_posts_nothing(settings):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    with transaction.atomic():
        post()
        transaction.set_rollback(True)
    assert not Letter.objects.exists()
    assert not DBTaskResult.objects.exists()


def test_a_task_carries_nothing_of_a_letter(settings):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    post()
    (task,) = DBTaskResult.objects.all()
    assert task.args_kwargs == {"args": [], "kwargs": {}}


class ServerAway(BaseEmailBackend):
    """A mail server that refuses the connection."""

    def send_messages(self, email_messages):
        raise ConnectionRefusedError(111, "Connection refused")


@pytest.fixture
def away(settings):
    """The mail server is down until it is let come back."""
    usual = settings.EMAIL_BACKEND
    settings.EMAIL_BACKEND = f"{__name__}.ServerAway"

    def come_back():
        settings.EMAIL_BACKEND = usual

    return come_back


def test_a_night_without_mail_server_loses_nothing(away, clock):
    post()
    post(OLIVE)
    tries = 0
    while clock() < dt.timedelta(hours=13):
        sweep_letters()
        tries += 1
        clock(seconds=900)
    assert set(Letter.objects.values_list("state", flat=True)) == {"waiting"}
    first = present(Letter.objects.first())
    assert first.tries < tries, "not at every look"
    assert "Connection refused" in first.says
    away()
    clock(hours=1)
    sweep_letters()
    sweep_letters()
    assert sorted(sent.to[0] for sent in mail.outbox) == [IDA, OLIVE]
    assert set(Letter.objects.values_list("state", flat=True)) == {"sent"}


def test_after_days_in_vain_a_letter_has_failed_and_is_shown(away, clock, client):
    letter = post()
    while clock() < dt.timedelta(days=5):
        assert Letter.objects.get().state == "waiting"
        clock(hours=1, seconds=1)
        sweep_letters()
    while Letter.objects.get().state == "waiting":
        assert clock(hours=1, seconds=1) < dt.timedelta(days=7)
        sweep_letters()
    client.force_login(make_person(role="designer"))
    page = client.get(reverse("mails")).content.decode()
    assert "Evenrow tried for five days." in page
    assert "Connection refused" in page
    assert "1 e-mail could not be sent" in client.get(reverse("desk")).content.decode()
    away()
    client.post(reverse("letter_again", args=[letter.pk]))
    assert [sent.to for sent in mail.outbox] == [[IDA]]
    assert "could not be sent" not in client.get(reverse("desk")).content.decode()


def test_a_letter_is_tried_for_five_days_at_least():
    # RFC 5321, 4.5.4.1: "the give-up time generally needs to be at least 4-5 days".
    waits = [wait_before_next(tries) for tries in range(1, MOST_TRIES)]
    assert sum(waits, dt.timedelta()) >= dt.timedelta(days=5)
    assert waits == sorted(waits)
    assert waits[-1] == dt.timedelta(hours=1)


@pytest.mark.parametrize(
    ("answers", "says"),
    [
        ({"RCPT": "550 5.1.1 nobody here"}, "refused the address (“550 5.1.1 nobody here”)"),
        ({"DATA": "554 no"}, "does not accept this e-mail (“554 no”)"),
        ({"letter": "554 5.7.1 looks unwanted"}, "does not accept this e-mail (“554 5.7.1 looks unwanted”)"),
    ],
)
def test_a_letter_that_is_refused_for_good_is_shown_with_what_was_said(sink, client, answers, says):
    sink.answers = answers
    refused = post()
    sink.answers = {}
    post(OLIVE)
    client.force_login(make_person(role="designer"))
    page = client.get(reverse("mails"))
    assert list(page.context["failed"]) == [refused]
    assert says in page.content.decode()
    assert sink.taken == {OLIVE: 1}
    client.post(reverse("letters_again"))
    assert sink.taken == {OLIVE: 1, IDA: 1}


@pytest.mark.parametrize(
    "answers",
    [
        {"greeting": "554 no service"},
        {"EHLO": "550 no", "HELO": "550 no"},
        {"MAIL": "553 not your sender"},
        {"RCPT": "554 5.7.1 relay access denied"},
        {"greeting": "421 busy"},
        {"MAIL": "451 later"},
        {"RCPT": "450 greylisted"},
        {"DATA": "451 later"},
        {"letter": "452 no room"},
        {"letter": "close"},
    ],
)
def test_letters_wait_while_the_server_refuses_us_or_wants_none_now(sink, clock, answers):
    sink.answers = answers
    post()
    post(OLIVE)
    assert set(Letter.objects.values_list("state", flat=True)) == {"waiting"}
    assert all(said for said in Letter.objects.values_list("says", flat=True))
    assert not due_letters().exists(), "not at once"
    sink.answers = {}
    clock(hours=1)
    sweep_letters()
    assert sink.taken == {IDA: 1, OLIVE: 1}


def test_one_letter_that_is_put_off_does_not_hold_up_the_others(sink, settings):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    sink.refusing[IDA] = "450 greylisted"
    post()
    post(OLIVE)
    send_letters.call()
    assert sink.taken == {OLIVE: 1}


def test_a_letter_that_can_not_be_written_is_shown_and_holds_up_nobody(sink, settings):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    broken = post()
    Letter.objects.filter(pk=broken.pk).update(subject="Hello\r\nBcc: v@larkmoss.example")
    post("wren@larkmoss.example")
    send_letters.call()
    assert sink.taken == {"wren@larkmoss.example": 1}
    broken.refresh_from_db()
    assert broken.state == "failed"
    assert "line break" in broken.says
    Letter.objects.filter(pk=broken.pk).update(subject="Hello")
    send_again(letters=Letter.objects.filter(pk=broken.pk))
    send_letters.call()
    assert sink.taken == {"wren@larkmoss.example": 1, IDA: 1}


def test_letters_to_and_from_international_domains_go_in_ascii(sink):
    Studio.objects.update(sender="hello@wollmühle.example")
    post("ida@straße.example")
    assert sink.taken == {"ida@xn--strae-oqa.example": 1}  # IDNA 2008, RFC 5891
    assert sink.senders == ["hello@xn--wollmhle-b6a.example"]
    assert sink.last["To"] == "ida@xn--strae-oqa.example"


def test_a_letter_in_hand_is_taken_by_nobody_else_and_due_again_when_its_worker_died(
    settings, clock, monkeypatch
):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    post()
    seen = []

    def die(*_):
        seen.append(due_letters().count())
        send_letters.call()  # another worker, meanwhile
        raise SystemExit

    monkeypatch.setattr("catalogue.studio.letters.hand_over", die)
    with pytest.raises(SystemExit):
        send_letters.call()
    assert seen == [0]
    monkeypatch.undo()
    assert mail.outbox == []
    Letter.objects.update(try_at=timezone.now())
    send_letters.call()
    send_letters.call()
    assert [sent.to for sent in mail.outbox] == [[IDA]]
    assert dt.timedelta(minutes=5) < IN_HAND


def test_a_letter_that_ends_every_worker_fails_at_last(settings, monkeypatch):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    post()
    Letter.objects.update(tries=MOST_TRIES - 1)

    def die(*_):
        raise SystemExit

    monkeypatch.setattr("catalogue.studio.letters.hand_over", die)
    with pytest.raises(SystemExit):
        send_letters.call()
    Letter.objects.update(try_at=timezone.now())
    send_letters.call()
    assert Letter.objects.get().state == "failed"


def test_the_sweep_queues_what_nothing_else_will_send(settings):
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    post()
    assert sweep_letters() == 1
    assert DBTaskResult.objects.count() == 1, "it is in the queue already"
    DBTaskResult.objects.update(status=TaskResultStatus.RUNNING)
    sweep_letters()
    assert DBTaskResult.objects.count() == 1
    DBTaskResult.objects.update(status=TaskResultStatus.FAILED)
    sweep_letters()
    assert DBTaskResult.objects.filter(status=TaskResultStatus.READY).count() == 1


def test_what_is_kept_of_a_letter_goes_after_its_time(sink, clock):
    sink.refusing[OLIVE] = "550 nobody"
    post()
    post(OLIVE)
    sink.answers = {"greeting": "421 busy"}
    waiting = post("moss@larkmoss.example")
    clock(seconds=KEPT.total_seconds() - 60)
    assert forget_settled_letters() == 0
    clock(minutes=2)
    assert forget_settled_letters() == 2
    assert Letter.objects.get() == waiting


def test_a_letter_can_be_deleted_before_it_goes(away, client):
    letter = post()
    client.force_login(make_person(role="designer"))
    client.post(reverse("letter_drop", args=[letter.pk]))
    away()
    sweep_letters()
    assert mail.outbox == []
    assert client.post(reverse("letter_drop", args=[letter.pk])).status_code == 404


def test_a_letter_that_went_can_not_be_sent_again(client):
    letter = post()
    client.force_login(make_person(role="designer"))
    answer = client.post(reverse("letter_again", args=[letter.pk]), follow=True)
    assert "nothing to send again" in answer.content.decode()
    assert len(mail.outbox) == 1


def test_markup_in_a_waiting_letter_is_shown_as_text(away, client):
    post(subject="<script>alert(1)</script>")
    client.force_login(make_person(role="designer"))
    assert "<script>alert" not in client.get(reverse("mails")).content.decode()


@pytest.mark.django_db(transaction=True)
def test_letters_that_were_tasks_wait_on_as_letters():
    """Before there was a table, an e-mail was the argument of a task."""
    executor = MigrationExecutor(connection)
    leaves = executor.loader.graph.leaf_nodes()
    executor.migrate([("catalogue", "0002_stopped_notices")])
    kept = {"READY": "ready@larkmoss.example", "RUNNING": "killed@larkmoss.example", "FAILED": IDA}
    for status, to in {**kept, "SUCCESSFUL": OLIVE}.items():
        DBTaskResult.objects.create(
            task_path="catalogue.mailing.deliver_mail",
            args_kwargs={
                "args": [],
                "kwargs": {"to": to, "subject": f"Of {to}", "text": "Text", "html": "", "attempt": 3},
            },
            status=status,
            backend_name="default",
            run_after=timezone.now() + dt.timedelta(hours=1),
            exception_class_path="",
            traceback="",
        )
    MigrationExecutor(connection).migrate(leaves)
    found = {letter.to: (letter.state, letter.subject) for letter in Letter.objects.all()}
    assert found == {
        to: ("failed" if status == "FAILED" else "waiting", f"Of {to}") for status, to in kept.items()
    }
    assert not DBTaskResult.objects.exists()
    assert due_letters().count() == 2
    assert re.search("given up", Letter.objects.get(to=IDA).says)
