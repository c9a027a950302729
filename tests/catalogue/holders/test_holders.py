"""Holders: typed in, brought as tables, signed up; unsubscribed without an account; bounces noted."""

import re
import time

import pytest
from django.core import mail
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import transaction
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalogue.holders.bounces import BounceUnread, note_bounce
from catalogue.holders.holders import (
    NewHolder,
    ask_to_confirm,
    erase_holder,
    holder_key,
    holder_of_key,
    leave_again,
    store_holders,
    unsubscribe,
)
from catalogue.holders.letters import mail_of_message_id, message_id
from catalogue.holders.own_links import LINK_LASTS, own_key
from catalogue.models import Holder, Notice, NoticeMail
from catalogue.studio.erasures import marks
from tests.builders import make_person
from tests.catalogue.builders import make_pattern, make_version
from tests.present import present

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


@pytest.fixture
def version():
    return make_version(make_pattern(), number="1.0")


def make_holder(version, *, email="ida@larkmoss.example", **fields):
    return Holder.objects.create(pattern=version.pattern, version=version, email=email, **fields)


def test_a_table_is_looked_at_before_it_is_stored(version, designer_client):
    table = (
        "E-mail,Name,Pattern,Version,Date\n"
        "Ida@Larkmoss.example,Ida Moss,brackenmere pullover,1.0,2026-05-03\n"
        "olive@larkmoss.example,Olive,brackenmere-pullover,,\n"
        "nonsense,X,Brackenmere Pullover,1.0,\n"
        "a@larkmoss.example,X,Another,1.0,\n"
        "b@larkmoss.example,X,Brackenmere Pullover,7.0,\n"
        "c@larkmoss.example,X,Brackenmere Pullover,1.0,soon\n"
    )
    page = designer_client.post(reverse("holders_check"), {"text": table})
    shown = page.content.decode()
    assert "2 holders can be stored" in shown
    assert "Not stored: the column Name" in shown
    for line, says in (
        (4, "is not an e-mail address"),
        (5, "no pattern"),
        (6, "no release"),
        (7, "is not a date"),
    ):
        assert re.search(f"Line {line}: .*{says}", shown)
    assert not Holder.objects.exists()
    designer_client.post(reverse("holders_store"), {"text": page.context["text"]})
    stored = list(Holder.objects.values_list("email", "version__major", "held_since", "source", "state"))
    assert [(one[0], one[1], str(one[2])) for one in stored] == [
        ("ida@larkmoss.example", 1, "2026-05-03"),
        ("olive@larkmoss.example", None, "None"),
    ]
    assert {one[3:] for one in stored} == {("imported", "wants")}


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "text"),
        (
            "name,date\nx,y",
            "the first line says “name”, “date”. Write “address”, “e-mail”, “email” or “e-mail",
        ),
        (
            "address\nida@larkmoss.example",
            "the first line says “address”. Write “pattern” or “title” over it",
        ),
    ],
)
def test_a_table_without_its_columns_is_refused_with_what_was_brought(version, designer_client, text, says):
    page = designer_client.post(reverse("holders_check"), {"text": text})
    assert page.status_code == 400
    assert says in page.content.decode()
    assert text.strip().split("\n")[-1] in page.content.decode()


def test_who_unsubscribed_is_not_subscribed_by_the_next_table(version):
    gone = make_holder(version, state="left")
    newer = make_version(version.pattern, number="1.1")
    new = [NewHolder("IDA@larkmoss.example", version.pattern, newer, None)] * 2
    stored = store_holders(holders=new, source="imported")
    assert (stored.new, stored.changed, stored.silent) == (0, 1, 1)
    gone.refresh_from_db()
    assert (gone.state, gone.version) == ("left", newer)
    store_holders(holders=[NewHolder(gone.email, version.pattern, version, None)], source="imported")
    gone.refresh_from_db()
    assert gone.version == newer


def test_a_holder_is_typed_in(version, designer_client):
    url = reverse("holders")
    sent = {"email": "ida@larkmoss.example", "pattern": version.pattern.pk, "number": "1.0", "held_since": ""}
    assert designer_client.post(url, sent).status_code == 302
    assert Holder.objects.get().version == version
    wrong = designer_client.post(url, {**sent, "number": "3.0"})
    assert wrong.status_code == 400
    assert "has no release “3.0”" in wrong.content.decode()
    found = designer_client.get(url, {"address": "IDA"}).content.decode()
    assert "ida@larkmoss.example" in found
    designer_client.post(reverse("holder_erase", args=[Holder.objects.get().pk]))
    assert not Holder.objects.exists()


def test_an_editor_who_may_not_publish_sees_no_addresses(version, client):
    client.force_login(make_person(role="editor"))
    assert client.get(reverse("holders")).status_code == 404


def link_in(letter, name):
    return present(re.search(rf"https://larkmoss\.example(/notices/\S+/{name}/)", letter.body)).group(1)


def test_who_signs_up_is_written_to_only_after_confirming(
    version, client, django_capture_on_commit_callbacks
):
    url = reverse("sign_up", args=[version.pattern.slug])
    with django_capture_on_commit_callbacks(execute=True):
        answer = client.post(url, {"email": "ida@larkmoss.example", "version": version.pk})
    assert answer.url == reverse("signed_up", args=[version.pattern.slug])
    assert Holder.objects.get().state == "asked"
    page = link_in(mail.outbox[0], "confirm")
    assert "We will write to you when" in client.get(page).content.decode()
    assert Holder.objects.get().state == "asked"  # a scanner that only looks confirms nothing
    client.post(page)
    assert Holder.objects.get().state == "wants"


def test_nobody_can_flood_an_address_or_learn_who_is_known(version, client):
    url = reverse("sign_up", args=[version.pattern.slug])
    answers = [client.post(url, {"email": "ida@larkmoss.example"}) for _ in range(3)]
    assert {answer.url for answer in answers} == {reverse("signed_up", args=[version.pattern.slug])}
    ask_to_confirm(pattern=version.pattern, email="IDA@larkmoss.example", version=None)
    assert len(mail.outbox) == 1
    assert client.post(url, {"email": "no address"}).status_code == 400


def test_a_known_address_is_answered_as_slowly_as_a_new_one(version, client, settings):
    settings.EVEN_ANSWER_SECONDS = 0.2
    url = reverse("sign_up", args=[version.pattern.slug])
    for _ in range(3):  # the first is new, the others are known and get no second letter
        start = time.perf_counter()
        client.post(url, {"email": "ida@larkmoss.example"})
        assert time.perf_counter() - start >= 0.2
    assert len(mail.outbox) == 1


def test_unsubscribing_takes_one_click_and_no_cookie(version):
    holder, browser = make_holder(version), Client(enforce_csrf_checks=True)
    url = reverse("unsubscribe", args=[holder_key(holder)])
    looked = browser.get(url)
    assert not looked.cookies
    assert Holder.objects.get().state == "wants"
    answer = browser.post(url, {"List-Unsubscribe": "One-Click"})
    assert (answer.status_code, dict(answer.cookies)) == (200, {})
    assert Holder.objects.get().state == "left"


def test_unsubscribing_from_all_patterns_is_another_button(version):
    other = make_version(make_pattern("cinderfell_raglan"), number="1.0")
    first, second = make_holder(version), make_holder(other)
    unsubscribe(holder=first)
    assert {one.pattern_id: one.state for one in Holder.objects.all()}[second.pattern_id] == "wants"
    Client().post(reverse("unsubscribe", args=[holder_key(first)]), {"all": "1"})
    assert set(Holder.objects.values_list("state", flat=True)) == {"left"}


def test_a_forwarded_notice_shows_and_erases_nothing_of_its_holder(version):
    holder, stranger = make_holder(version), Client(enforce_csrf_checks=True)
    key = holder_key(holder)
    assert stranger.get(reverse("holder_forget", args=[key])).status_code == 404
    assert Client().post(reverse("holder_forget", args=[key])).status_code == 404
    ask = reverse("holder_link", args=[key])
    asked = [stranger.post(ask) for _ in range(4)]
    assert [answer.status_code for answer in asked] == [200, 200, 200, 429]
    assert [letter.to for letter in mail.outbox] == [[holder.email]] * 3
    seen = [stranger.get(reverse(name, args=[key])) for name in ("unsubscribe", "holder_confirm")]
    seen.append(stranger.post(reverse("unsubscribe", args=[key])))
    for page in (*asked, *seen):
        assert holder.email not in page.content.decode()
        assert own_key(holder) not in page.content.decode()
    assert f'action="{ask}"' in seen[0].content.decode()
    assert f'action="{ask}"' in seen[2].content.decode()
    assert Holder.objects.get() == holder


@pytest.mark.parametrize("state", ["bounced", "complained"])
def test_no_link_goes_to_an_address_that_is_not_written_to(version, client, state):
    holder = make_holder(version, state=state)
    assert client.post(reverse("holder_link", args=[holder_key(holder)])).status_code == 200
    assert not mail.outbox


def test_the_link_to_what_is_held_expires_and_another_can_be_asked_for(version, client, monkeypatch):
    holder = make_holder(version)
    forget = reverse("holder_forget", args=[own_key(holder)])
    later = (timezone.now() + LINK_LASTS).timestamp()
    monkeypatch.setattr("django.core.signing.time.time", lambda: later - 60)
    assert client.get(forget).status_code == 200
    monkeypatch.setattr("django.core.signing.time.time", lambda: later + 60)
    assert client.post(forget).status_code == 410
    page = client.get(forget).content.decode()
    assert holder.email not in page
    assert reverse("holder_link", args=[holder_key(holder)]) in page
    assert Holder.objects.get() == holder


def test_an_address_is_erased_by_the_link_that_was_sent_to_it_under_every_pattern(version, client):
    other = make_version(make_pattern("cinderfell_raglan"), number="1.0")
    one, stays = make_holder(version), make_holder(version, email="olive@larkmoss.example")
    make_holder(other)
    client.post(reverse("holder_link", args=[holder_key(one)]))
    (letter,) = mail.outbox
    forget = present(re.search(r"https://larkmoss\.example(/notices/\S+/erase/)", str(letter.body))).group(1)
    page = client.get(forget).content.decode()
    assert [f"{title}, version 1.0:" in page for title in ("Brackenmere Pullover", "Cinderfell Raglan")] == [
        True
    ] * 2
    assert Holder.objects.count() == 3
    assert "Your address is erased" in client.post(forget).content.decode()
    assert Holder.objects.get() == stays
    assert store_holders(
        holders=[NewHolder(one.email, version.pattern, version, None)], source="typed"
    ).silent


@pytest.mark.django_db(transaction=True)
def test_leaving_all_letters_forgets_no_complaint(version):
    other = make_version(make_pattern("cinderfell_raglan"), number="1.0")
    wants, complained = make_holder(version), make_holder(other, state="complained")
    for leaving, from_all in ((wants, True), (complained, True), (complained, False)):
        unsubscribe(holder=leaving, from_all=from_all)
        states = {one.pk: one.state for one in Holder.objects.all()}
        assert states == {wants.pk: "left", complained.pk: "complained"}
    Holder.objects.filter(pk=wants.pk).update(state="wants")  # as a backup from before would have it
    assert leave_again() == 1
    assert {one.pk: one.state for one in Holder.objects.all()} == states


@pytest.mark.django_db(transaction=True)
def test_who_wants_no_letters_at_all_stays_so_under_a_pattern_bought_later(version):
    one, all_of_them = make_holder(version), make_holder(version, email="olive@larkmoss.example")
    unsubscribe(holder=one)
    unsubscribe(holder=all_of_them, from_all=True)
    later = make_version(make_pattern("cinderfell_raglan"), number="1.0")
    new = [NewHolder(email, later.pattern, later, None) for email in (one.email, "OLIVE@larkmoss.example")]
    assert store_holders(holders=new, source="imported").silent == 1
    states = dict(later.pattern.holders.values_list("email", "state"))
    assert states == {one.email: "wants", all_of_them.email: "left"}


@pytest.mark.parametrize("state", ["bounced", "complained"])
def test_an_address_that_came_back_is_not_written_to_for_another_pattern(version, state):
    holder = make_holder(version, state=state)
    later = make_version(make_pattern("cinderfell_raglan"), number="1.0")
    store_holders(holders=[NewHolder(holder.email, later.pattern, later, None)], source="imported")
    assert later.pattern.holders.get().state == state


def test_a_stranger_cannot_change_which_version_somebody_holds(version, client):
    newer = make_version(version.pattern, number="1.1")
    make_holder(version)
    url = reverse("sign_up", args=[version.pattern.slug])
    client.post(url, {"email": "ida@larkmoss.example", "version": newer.pk})
    assert Holder.objects.get().version == version
    page = present(re.search(r"https://larkmoss\.example(/notices/\S+)", str(mail.outbox[0].body))).group(1)
    shown = client.get(page).content.decode()
    assert "version 1.1" in shown
    assert Holder.objects.get().version == version
    client.post(present(re.search(r'action="(/notices/[^"]+)"', shown)).group(1))
    assert Holder.objects.get().version == newer


def test_an_address_too_long_to_keep_is_refused_on_every_way(version, designer_client):
    address = f"{'a' * 60}@{'.'.join(['b' * 60] * 4)}.example"
    assert 254 < len(address) <= 320
    typed = {"email": address, "pattern": version.pattern.pk}
    assert designer_client.post(reverse("holders"), typed).status_code == 400
    url = reverse("sign_up", args=[version.pattern.slug])
    assert designer_client.post(url, {"email": address}).status_code == 400
    table = f"address,pattern\n{address},{version.pattern.title}"
    page = designer_client.post(reverse("holders_check"), {"text": table}).content.decode()
    assert "is longer than 254 characters" in page
    assert not Holder.objects.exists()


@pytest.mark.parametrize("key", ["1:abc", "x", "1", "1:", "9" * 400])
def test_a_key_that_was_not_signed_opens_nothing(version, client, key):
    make_holder(version, pk=1)
    assert holder_of_key(key) is None
    assert client.post(reverse("unsubscribe", args=[key])).status_code == 404
    assert Holder.objects.get().state == "wants"


def returned(letter_name, *, status="5.1.1", kind="message/delivery-status"):
    """A returned e-mail in the shape of RFC 3464, with the headers of the letter that came back."""
    return (
        'From: MAILER-DAEMON@mail.example\nContent-Type: multipart/report; boundary="b"\n\n'
        f"--b\nContent-Type: text/plain\n\nIt could not be delivered.\n--b\nContent-Type: {kind}\n\n"
        f"Reporting-MTA: dns; mail.example\n\nFinal-Recipient: rfc822; x@y.example\nAction: failed\n"
        f"Status: {status}\n--b\nContent-Type: text/rfc822-headers\n\nMessage-ID: {letter_name}\n--b--\n"
    )


def test_a_bounce_and_a_complaint_are_noted_for_the_address(version, designer_client):
    holder = make_holder(version)
    letter = NoticeMail.objects.create(notice=Notice.objects.create(version=version), holder=holder)
    name = message_id(letter)
    assert mail_of_message_id(name) == letter
    with pytest.raises(BounceUnread, match="failed for good"):
        note_bounce(returned(name, status="4.4.1"))
    assert "does not work" in note_bounce(returned(name))
    holder.refresh_from_db()
    assert holder.state == "bounced"
    page = designer_client.post(
        reverse("bounces"), {"text": returned(name, kind="message/feedback-report")}, follow=True
    )
    assert "wants no notices" in page.content.decode()
    holder.refresh_from_db()
    assert holder.state == "complained"
    forged = name.replace("notice.", "notice.9")
    for text in ("hello", returned(forged), returned("<notice.1.xxxxxxxxxxxx@larkmoss.example>")):
        assert designer_client.post(reverse("bounces"), {"text": text}).status_code == 400


def test_an_address_that_is_none_is_said_and_kept(client, designer_client):
    version = make_version(make_pattern(), number="1.0")
    for name, args, typed in (
        ("sign_up", [version.pattern.slug], {"email": "ida@"}),
        ("holders", [], {"email": "ida@", "pattern": version.pattern.pk}),
    ):
        page = (client if name == "sign_up" else designer_client).post(reverse(name, args=args), typed)
        assert page.status_code == 400
        assert "This is not an e-mail address: write it like ida@larkmoss.example." in page.content.decode()
        assert 'value="ida@"' in page.content.decode()
    assert not Holder.objects.exists()


def test_a_returned_letter_in_a_thousand_others_is_refused_in_a_sentence(version, designer_client):
    answer = designer_client.post(reverse("bounces"), {"text": "Content-Type: message/rfc822\n\n" * 3000})
    assert answer.status_code == 400
    assert "too many e-mails inside each other" in answer.content.decode()


def test_wide_columns_that_are_never_stored_do_not_stand_in_the_way(version, designer_client):
    rows = [f"w{n}@larkmoss.example,{version.pattern.title},1.0,,{'x' * 300}" for n in range(2_000)]
    table = "\n".join(["address,pattern,version,date,note", *rows]).encode()
    brought = SimpleUploadedFile("holders.csv", table)
    page = designer_client.post(reverse("holders_check"), {"file": brought})
    assert "xxx" not in page.context["text"]
    assert designer_client.post(reverse("holders_store"), {"text": page.context["text"]}).status_code == 302
    assert Holder.objects.count() == 2_000


@pytest.mark.django_db(transaction=True)
def test_an_erasure_that_is_undone_leaves_no_mark():
    holder = Holder.objects.create(
        pattern=make_pattern(), email="ida@larkmoss.example", source="own", state="wants"
    )
    with transaction.atomic():
        erase_holder(holder=holder)
        transaction.set_rollback(True)
    assert marks() == frozenset()
    erase_holder(holder=Holder.objects.get())
    assert len(marks()) == 1
