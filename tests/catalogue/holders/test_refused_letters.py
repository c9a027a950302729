"""What a mail server refuses, at every stage of the talk: only a refused recipient touches a holder."""

import datetime as dt
import ssl
from types import SimpleNamespace
from typing import Any

import pytest
from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from django.urls import reverse
from django.utils import timezone
from django_tasks_db.models import DBTaskResult

from catalogue.holders.holders import NewHolder, store_holders, unsubscribe
from catalogue.holders.sending import send_batch, start_notice
from catalogue.models import Holder, Notice, NoticeMail, Studio
from tests.builders import make_person, make_studio
from tests.catalogue.builders import make_pattern, make_version
from tests.catalogue.holders.test_notices import found_wrong, released_twice
from tests.catalogue.smtp_sink import Sink
from tests.present import present

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]
ADDRESSES = [f"{name}@larkmoss.example" for name in ("ida", "olive", "rowan")]


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    settings.DATA_DIR = tmp_path


@pytest.fixture
def sink(settings):
    opened = Sink()
    settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
    settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", opened.port
    yield opened
    opened.close()


@pytest.fixture
def notice():
    """A draft for three holders of a version with a mistake."""
    from catalogue.errata.correcting import correct_afterwards

    make_studio()
    first, second = released_twice()
    erratum = found_wrong(first.pattern, first)
    correct_afterwards(erratum=erratum, version=second, by=None)
    for email in ADDRESSES[1:]:
        Holder.objects.create(pattern=first.pattern, version=first, email=email)
    return Notice.objects.get()


@pytest.fixture
def queued(settings):
    """Batches wait in the queue, as they do outside of tests; `work` runs what is due."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}


def work():
    """Run the batches that are due, each once; say how many."""
    due = list(DBTaskResult.objects.ready())
    for task in due:
        task.delete()
        run_batch(name=task.pk, **task.args_kwargs["kwargs"])
    return len(due)


def run_batch(*, name, **arguments):
    """Run a batch as the worker does."""
    context: Any = SimpleNamespace(task_result=SimpleNamespace(id=name))
    task: Any = send_batch
    task.call(context, **arguments)


def let_time_pass():
    """Everything that waits is due."""
    DBTaskResult.objects.update(run_after=timezone.now())
    NoticeMail.objects.update(try_at=None)


def send(notice):
    start_notice(notice=notice, words="", by=None)
    notice.refresh_from_db()
    return notice


def states():
    return dict(Holder.objects.values_list("email", "state"))


STOPS = [
    ({"greeting": "554 no service for you"}, "accept connections from this machine"),
    ({"EHLO": "550 go away", "HELO": "550 go away"}, "accept connections from this machine"),
    ({"MAIL": "553 sender not allowed"}, "does not accept e-mails from hello@larkmoss.example"),
    ({"MAIL": "550 5.7.1 not owned by you"}, "does not accept e-mails from hello@larkmoss.example"),
    ({"RCPT": "554 5.7.1 Relay access denied"}, "does not send e-mails for us"),
    ({"RCPT": "530 5.7.0 Authentication required"}, "does not send e-mails for us"),
    (
        {"RCPT": "550 5.1.8 bad sender's system address"},
        "does not accept e-mails from hello@larkmoss.example",
    ),
    ({"RCPT": "503 bad sequence"}, "does not send e-mails for us"),
    ({"DATA": "554 no valid letter"}, "does not accept this e-mail"),
    ({"letter": "554 5.7.1 looks unwanted"}, "does not accept this e-mail"),
    ({"letter": "552 5.3.4 too large"}, "does not accept this e-mail"),
]


@pytest.mark.parametrize(("answers", "says"), STOPS)
def test_what_is_not_about_the_recipient_stops_the_notice_and_touches_no_holder(
    notice, sink, designer_client, answers, says
):
    sink.answers = answers
    assert send(notice).state == "stopped"
    assert set(states().values()) == {"wants"}
    said = list(answers.values())[-1].partition(" ")[2]
    assert says in notice.says
    assert said in notice.says
    page = designer_client.get(reverse("notice", args=[notice.pk]))
    assert says in page.content.decode()
    assert "Go on" in page.content.decode()
    assert set(NoticeMail.objects.values_list("state", flat=True)) == {"waiting"}

    sink.answers = {}
    designer_client.post(reverse("notice_resume", args=[notice.pk]))
    notice.refresh_from_db()
    assert (notice.state, notice.says) == ("sent", "")
    assert sink.taken == dict.fromkeys(ADDRESSES, 1)


def test_a_refused_name_and_password_stop_the_notice(notice, sink, settings):
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "larkmoss", "wrong"
    sink.offers = ["AUTH PLAIN LOGIN"]
    sink.answers = {"AUTH": "535 5.7.8 no such user"}
    assert send(notice).state == "stopped"
    assert "user name and password" in notice.says
    assert "wrong" not in notice.says
    assert set(states().values()) == {"wants"}


def test_a_server_that_knows_no_passwords_stops_the_notice(notice, sink, settings):
    settings.EMAIL_HOST_USER, settings.EMAIL_HOST_PASSWORD = "larkmoss", "secret"
    assert send(notice).state == "stopped"
    assert "user name and password" in notice.says


@pytest.mark.parametrize(("offers", "answer"), [([], ""), (["STARTTLS"], "502 not now, nor ever")])
def test_a_server_without_tls_stops_the_notice(notice, sink, settings, offers, answer):
    settings.EMAIL_USE_TLS = True
    sink.offers = offers
    sink.answers = {"STARTTLS": answer} if answer else {}
    assert send(notice).state == "stopped"
    assert "secure connection" in notice.says
    assert not sink.senders, "nothing was sent openly"


def test_a_certificate_that_nobody_vouches_for_stops_the_notice(notice, sink, settings, tmp_path):
    settings.EMAIL_USE_TLS = True
    sink.offers = ["STARTTLS"]
    sink.tls.load_cert_chain(own_certificate(tmp_path))
    assert send(notice).state == "stopped"
    assert "secure connection" in notice.says
    assert not sink.senders


def test_tls_begun_with_a_server_that_speaks_openly_stops_the_notice(notice, sink, settings):
    settings.EMAIL_USE_SSL = True
    assert send(notice).state == "stopped"
    assert "secure connection" in notice.says


def own_certificate(folder):
    """A key and a certificate that it signs itself, in one file."""
    key = ec.generate_private_key(ec.SECP256R1())
    name = x509.Name([x509.NameAttribute(x509.NameOID.COMMON_NAME, "127.0.0.1")])
    now = dt.datetime.now(dt.UTC)
    made = (
        x509.CertificateBuilder().subject_name(name).issuer_name(name).public_key(key.public_key())
        .serial_number(1).not_valid_before(now - dt.timedelta(days=1))
        .not_valid_after(now + dt.timedelta(days=1)).sign(key, hashes.SHA256())
    )  # fmt: skip
    pem = serialization.Encoding.PEM
    private = key.private_bytes(pem, serialization.PrivateFormat.PKCS8, serialization.NoEncryption())
    path = folder / "server.pem"
    path.write_bytes(private + made.public_bytes(pem))
    assert ssl.PEM_cert_to_DER_cert(made.public_bytes(pem).decode())
    return path


@pytest.mark.parametrize("said", ["550 5.1.1 nobody here", "550 no", "553 mailbox name", "552 5.2.2 full"])
def test_a_refused_recipient_is_marked_and_the_others_get_their_letter(notice, sink, said):
    sink.refusing["olive@larkmoss.example"] = said
    assert send(notice).state == "sent"
    assert states() == {**dict.fromkeys(ADDRESSES, "wants"), "olive@larkmoss.example": "bounced"}
    letter = NoticeMail.objects.get(holder__email="olive@larkmoss.example")
    assert (letter.state, letter.says) == ("refused", said)
    assert sink.taken == {"ida@larkmoss.example": 1, "rowan@larkmoss.example": 1}


@pytest.mark.parametrize(
    "answers",
    [
        {"greeting": "421 too busy"},
        {"EHLO": "451 later", "HELO": "451 later"},
        {"MAIL": "451 later"},
        {"RCPT": "450 greylisted"},
        {"DATA": "451 later"},
        {"letter": "452 no room"},
        {"letter": "421 closing"},
        {"MAIL": "close"},
        {"DATA": "close"},
        {"letter": "close"},
    ],
)
def test_what_is_refused_for_a_while_is_tried_again(notice, sink, queued, answers):
    sink.answers = answers
    start_notice(notice=notice, words="", by=None)
    assert work() == 1
    notice.refresh_from_db()
    assert notice.state == "sending"
    assert set(states().values()) == {"wants"}
    assert set(NoticeMail.objects.values_list("state", flat=True)) == {"waiting"}
    assert work() == 0, "not at once"
    sink.answers = {}
    let_time_pass()
    assert work() == 1
    notice.refresh_from_db()
    assert notice.state == "sent"
    assert sink.taken == dict.fromkeys(ADDRESSES, 1)


def test_the_page_says_what_a_notice_waits_for(notice, sink, queued, designer_client):
    sink.answers = {"greeting": "421 too busy"}
    start_notice(notice=notice, words="", by=None)
    work()
    page = designer_client.get(reverse("notice", args=[notice.pk])).content.decode()
    assert "The mail server 127.0.0.1 can&#x27;t be reached now" in page
    assert "too busy" in page


def test_a_letter_that_is_put_off_for_days_is_given_up_and_touches_no_holder(notice, sink):
    send_to_one(notice, sink, "450 greylisted for ever")
    letter = NoticeMail.objects.get(holder__email="olive@larkmoss.example")
    assert letter.state == "waiting"
    tries = 1
    while letter.state == "waiting":
        NoticeMail.objects.update(try_at=None)
        run_batch(name="again", notice=notice.pk)
        letter.refresh_from_db()
        tries += 1
        assert tries < 200
    assert letter.state == "refused"
    # RFC 5321, 4.5.4.1: "the give-up time generally needs to be at least 4-5 days".
    from catalogue.studio.mail_handover import wait_before_next

    waits = [wait_before_next(number) for number in range(1, tries)]
    assert sum(waits, dt.timedelta()) >= dt.timedelta(days=5)
    notice.refresh_from_db()
    assert notice.state == "sent"
    assert set(states().values()) == {"wants"}


def send_to_one(notice, sink, said):
    sink.refusing["olive@larkmoss.example"] = said
    assert send(notice).state == "sending"


def test_a_letter_that_stopped_the_notice_goes_last_when_it_goes_on(notice, sink, designer_client):
    sink.answers_to_letters["ida@larkmoss.example"] = "554 looks unwanted"
    assert send(notice).state == "stopped"
    assert sink.count == 0
    designer_client.post(reverse("notice_resume", args=[notice.pk]))
    notice.refresh_from_db()
    assert notice.state == "stopped"
    assert sink.taken == dict.fromkeys(ADDRESSES[1:], 1)
    designer_client.post(reverse("notice_end", args=[notice.pk]))
    notice.refresh_from_db()
    assert notice.state == "sent"
    assert states()["ida@larkmoss.example"] == "wants"
    page = designer_client.get(reverse("notice", args=[notice.pk])).content.decode()
    assert "Send to 1 more holder" in page, "who was left out can be told later"


def test_addresses_at_international_domains_are_sent_in_ascii(notice, sink):
    Studio.objects.update(sender="hello@wollmühle.example")
    Holder.objects.all().delete()
    held = notice.version.pattern.versions.get(minor=0)
    for email in ("ida@straße.example", "olive@мох.example"):
        Holder.objects.create(pattern=held.pattern, version=held, email=email)
    assert send(notice).state == "sent"
    # IDNA 2008 (RFC 5891): ß stays a letter of its own, xn-- and Punycode (RFC 3492) of each label.
    assert sink.taken == {"ida@xn--strae-oqa.example": 1, "olive@xn--l1aev.example": 1}
    assert set(sink.senders) == {"hello@xn--wollmhle-b6a.example"}
    assert "hello@xn--wollmhle-b6a.example" in sink.last["From"]
    assert set(states().values()) == {"wants"}


def test_an_address_that_no_letter_can_be_written_to_is_left_out_and_not_marked(notice, sink):
    held = notice.version.pattern.versions.get(minor=0)
    Holder.objects.create(pattern=held.pattern, version=held, email="ıda@larkmoss.example")
    assert send(notice).state == "sent"
    letter = NoticeMail.objects.get(holder__email="ıda@larkmoss.example")
    assert letter.state == "refused"
    assert "before the @" in letter.says
    assert sink.count == 3
    assert set(states().values()) == {"wants"}


def test_an_address_that_no_letter_can_be_written_to_is_refused_in_a_sentence(client, designer_client):
    version = make_version(make_pattern(), number="1.0")
    typed = {"email": "ıda@larkmoss.example", "pattern": version.pattern.pk}
    for answer in (
        client.post(reverse("sign_up", args=[version.pattern.slug]), typed),
        designer_client.post(reverse("holders"), typed),
        designer_client.post(
            reverse("holders_check"),
            {"text": f"address,pattern\n{typed['email']},{version.pattern.title}"},
        ),
    ):
        assert "before the @" in answer.content.decode()
    assert not Holder.objects.exists()


def bounced(notice, sink):
    """A notice as an earlier program left it: everybody marked, every letter refused, the notice sent."""
    send(notice)
    sink.taken.clear()
    NoticeMail.objects.update(state="refused", says="553 sender not allowed")
    Holder.objects.update(state="bounced")


def test_all_of_one_notice_are_set_right_at_once_and_told(notice, sink, designer_client):
    bounced(notice, sink)
    other = make_version(make_pattern("cinderfell_raglan"), number="1.0")
    for email in (ADDRESSES[0], "elsewhere@larkmoss.example"):
        Holder.objects.create(pattern=other.pattern, version=other, email=email, state="bounced")
    url = reverse("notice", args=[notice.pk])
    page = designer_client.get(url).content.decode()
    assert "553 sender not allowed" in page
    assert all(email in page for email in ADDRESSES)
    designer_client.post(reverse("notice_right", args=[notice.pk]))
    found = dict(notice.version.pattern.holders.values_list("email", "state"))
    assert set(found.values()) == {"wants"}
    elsewhere = dict(other.pattern.holders.values_list("email", "state"))
    assert elsewhere == {ADDRESSES[0]: "wants", "elsewhere@larkmoss.example": "bounced"}
    assert "Send to 3 more holders" in designer_client.get(url).content.decode()
    designer_client.post(reverse("notice_newcomers", args=[notice.pk]))
    assert sink.taken == dict.fromkeys(ADDRESSES, 1)


def test_one_holder_is_set_right_alone(notice, sink, designer_client):
    bounced(notice, sink)
    holder = Holder.objects.get(email=ADDRESSES[1])
    listed = designer_client.get(reverse("holders"), {"address": "olive"}).content.decode()
    url = reverse("holder_right", args=[holder.pk])
    assert url in listed
    designer_client.post(url)
    assert {email for email, state in states().items() if state == "wants"} == {ADDRESSES[1]}
    designer_client.post(reverse("notice_newcomers", args=[notice.pk]))
    assert sink.taken == {ADDRESSES[1]: 1}
    assert url not in designer_client.get(reverse("holders"), {"address": "olive"}).content.decode()


def test_setting_right_subscribes_nobody_who_left_complained_or_never_confirmed(
    django_capture_on_commit_callbacks,
):
    version = make_version(make_pattern(), number="1.0")
    names = ("left", "complained", "asked", "wants")
    new = [NewHolder(f"{name}@larkmoss.example", version.pattern, version, None) for name in names]
    store_holders(holders=new, source="typed")
    found = {holder.email.partition("@")[0]: holder for holder in Holder.objects.all()}
    with django_capture_on_commit_callbacks(execute=True):
        unsubscribe(holder=found["left"])
    Holder.objects.filter(pk=found["complained"].pk).update(state="complained")
    Holder.objects.filter(pk=found["asked"].pk).update(source="own")
    Holder.objects.exclude(state="complained").update(state="bounced")  # as an earlier program noted it
    from catalogue.holders.holders import set_right

    assert set_right(holders=Holder.objects.all()) == 3
    assert {name: Holder.objects.get(pk=one.pk).state for name, one in found.items()} == {
        name: name for name in names
    }


def test_a_returned_letter_marks_nobody_who_left_or_never_confirmed(notice, sink):
    from catalogue.holders.bounces import note_bounce
    from catalogue.holders.letters import message_id
    from tests.catalogue.holders.test_holders import returned

    send(notice)
    other = make_version(make_pattern("cinderfell_raglan"), number="1.0")
    third = make_version(make_pattern("puffinbay_child"), number="1.0")
    for version, state in ((other, "left"), (third, "asked")):
        Holder.objects.create(pattern=version.pattern, version=version, email=ADDRESSES[0], state=state)
    note_bounce(returned(message_id(NoticeMail.objects.get(holder__email=ADDRESSES[0]))))
    found = Holder.objects.filter(email=ADDRESSES[0]).order_by("pk").values_list("state", flat=True)
    assert list(found) == ["bounced", "left", "asked"]


def test_an_editor_who_may_not_publish_sets_nobody_right(notice, client):
    client.force_login(make_person(role="editor"))
    holder = present(Holder.objects.first())
    for name, pk in (("holder_right", holder.pk), ("notice_right", notice.pk), ("notice_end", notice.pk)):
        assert client.post(reverse(name, args=[pk])).status_code == 404
