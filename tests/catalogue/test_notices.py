"""Notices: drafted from what applies to each version held, sent in batches, each letter once."""

import pytest
from django.core import mail
from django.urls import reverse

from catalogue.errata import judge_erratum, report_erratum
from catalogue.models import Holder, Notice, NoticeMail
from catalogue.notice_journal import Journal, read_journal
from catalogue.notice_sending import settle, take_letters
from catalogue.notices import letters_of, progress_of, start_notice
from tests.catalogue.builders import edit, make_pattern, make_version
from tests.catalogue.test_errata import mended_armhole, wrong_armhole

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


@pytest.fixture
def notice():
    """1.0 is right, 1.1 has a mistake, 1.2 corrects it; somebody holds each, and one does not know which."""
    pattern = make_pattern()
    versions = [make_version(pattern, number="1.0")]
    edit(pattern, wrong_armhole)
    versions.append(make_version(pattern, number="1.1"))
    erratum = report_erratum(
        pattern=pattern,
        place="values.sleeve_rows",
        says="<8 rows> too many",
        should_say="8 rows fewer",
        found_in=versions[1],
    )
    judge_erratum(erratum=erratum, is_mistake=True)
    edit(pattern, mended_armhole)
    for number, version in enumerate([*versions, None]):
        for place in range(2):
            Holder.objects.create(
                pattern=pattern, version=version, email=f"holder{number}-{place}@larkmoss.example"
            )
    Holder.objects.create(pattern=pattern, version=versions[1], email="gone@larkmoss.example", state="left")
    Holder.objects.create(pattern=pattern, version=versions[1], email="new@larkmoss.example", state="asked")
    make_version(pattern, number="1.2", corrects=[erratum])
    return Notice.objects.get()


def test_a_correcting_release_drafts_letters_for_those_it_concerns(notice):
    letters = {one.number: one for one in letters_of(notice)}
    assert {number: one.holders for number, one in letters.items()} == {"1.1": 2, "unknown": 2}
    letter = letters["1.1"]
    assert letter.subject == "Corrections to Brackenmere Pullover 1.1"
    assert "It says: <8 rows> too many" in letter.text
    assert "&lt;8 rows&gt; too many" in letter.html
    assert "https://larkmoss.example/patterns/brackenmere-pullover/1.1/corrections/" in letter.text
    assert "if it stands in yours" in letters["unknown"].text
    assert "/patterns/brackenmere-pullover/which/" in letters["unknown"].text


def test_a_release_that_corrects_nothing_and_a_test_version_draft_none():
    pattern = make_pattern()
    make_version(pattern, kind="test", number="0.1")
    make_version(pattern, number="1.0")
    assert not Notice.objects.exists()


def test_letters_go_once_to_those_who_want_them(notice, designer_client):
    url = reverse("notice_send", args=[notice.pk])
    shown = designer_client.post(reverse("notice_preview", args=[notice.pk]), {"words": "Look it up."})
    assert "Look it up." in shown.content.decode()
    assert not mail.outbox
    designer_client.post(url, {"words": "Fetch the new one."})
    designer_client.post(url, {"words": "Fetch it twice."})
    to = sorted(letter.to[0] for letter in mail.outbox)
    assert to == [f"holder{number}-{place}@larkmoss.example" for number in (1, 2) for place in (0, 1)]
    letter = next(one for one in mail.outbox if one.to[0].startswith("holder1-0"))
    assert "Fetch the new one." in letter.body
    headers = letter.message()
    leave = headers["List-Unsubscribe"].strip("<>")
    assert headers["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert leave in letter.body
    notice.refresh_from_db()
    assert notice.state == "sent"
    assert progress_of(notice) == {
        "all": 4, "done": 4, "waiting": 0, "handed": 4, "refused": 0, "skipped": 0,
    }  # fmt: skip
    designer_client.post(leave.removeprefix("https://larkmoss.example"))
    assert Holder.objects.get(email="holder1-0@larkmoss.example").state == "left"
    assert "4 of 4 letters" in designer_client.get(reverse("notice", args=[notice.pk])).content.decode()


def test_a_dropped_notice_tells_nobody(notice, designer_client):
    designer_client.post(reverse("notice_drop", args=[notice.pk]))
    assert start_notice(notice=notice, words="", by=None) is False
    designer_client.post(reverse("notice_resume", args=[notice.pk]))
    assert not mail.outbox


def test_a_batch_that_was_killed_is_taken_up_from_its_journal(notice):
    holders = Holder.objects.filter(state="wants")
    mails = [NoticeMail.objects.create(notice=notice, holder=one) for one in holders]
    taken = take_letters(notice, "one")
    assert [one.pk for one in taken] == [one.pk for one in mails]
    assert take_letters(notice, "two") == []  # nobody else takes them
    with Journal("one") as journal:
        journal.note(mails[0].pk, "handed")
        journal.note(mails[1].pk, "handed")
        journal.note(mails[1].pk, "refused", "550 5.1.1\nno such user")
        journal.note(mails[2].pk, "later", "451 busy")
    settle("one")
    states = [NoticeMail.objects.get(pk=one.pk) for one in mails]
    assert [one.state for one in states] == ["handed", "refused", "waiting", "waiting", "waiting", "waiting"]
    assert (states[1].says, states[2].tries) == ("550 5.1.1 no such user", 1)
    assert Holder.objects.get(pk=mails[1].holder_id).state == "bounced"
    assert [one.pk for one in take_letters(notice, "two")] == [one.pk for one in mails[2:]]


def test_a_journal_goes_once_the_database_knows(notice, django_capture_on_commit_callbacks):
    with Journal("three") as journal:
        journal.note(7, "handed")
    assert read_journal("three") == {7: ("handed", "")}
    with django_capture_on_commit_callbacks(execute=True):
        settle("three")
    assert read_journal("three") == {}
