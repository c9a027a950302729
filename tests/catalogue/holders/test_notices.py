"""Notices: drafted from what applies to each version held, sent in batches, each letter once."""

import pytest
from django.core import mail
from django.urls import reverse

from catalogue.errata.correcting import correct_afterwards
from catalogue.errata.errata import Mistake, judge_erratum, report_erratum
from catalogue.errata.tables import errata_rows
from catalogue.holders import sending
from catalogue.holders.holders import NewHolder, store_holders
from catalogue.holders.journal import Journal, read_journal
from catalogue.holders.notice_letters import UNKNOWN
from catalogue.holders.notice_names import named_notices, told_before
from catalogue.holders.notices import (
    draft_notice,
    errata_to_tell,
    letters_of,
    notice_progress,
    notices_about,
    untold_errata,
)
from catalogue.holders.sending import settle, start_notice, take_letters, tell_newcomers
from catalogue.models import Erratum, Holder, Notice, NoticeMail, Version
from catalogue.versions.standings import found_places
from tests.builders import make_person
from tests.catalogue.builders import edit, make_pattern, make_version
from tests.catalogue.errata.test_errata import mended_armhole, wrong_armhole
from tests.pages import page_text
from tests.present import present
from tests.sent_forms import send_form

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


@pytest.fixture(autouse=True)
def own_folder(settings, tmp_path):
    """Journals are kept in a folder: each test has its own, so that none reads another's."""
    settings.DATA_DIR = tmp_path


@pytest.fixture
def notice():
    """1.0 is right, 1.1 has a mistake, 1.2 corrects it; somebody holds each, and one does not know which."""
    pattern = make_pattern()
    versions = [make_version(pattern, number="1.0")]
    edit(pattern, wrong_armhole)
    versions.append(make_version(pattern, number="1.1"))
    erratum = report_erratum(
        Mistake(
            pattern=pattern,
            place="values.sleeve_rows",
            says="<8 rows> too many",
            should_say="8 rows fewer",
            found_in=versions[1],
        )
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
    *first, empty = letter.text.split("\n")[:4]
    page = "https://larkmoss.example/patterns/brackenmere-pullover/1.1/corrections/"
    place = first[0].removeprefix("Wrong in Brackenmere Pullover 1.1: ").removesuffix(".")
    assert f"* {place}" in letter.text.partition("corrects this")[2]
    concerned = "It affects every size."
    assert (first[1:], empty) == ([concerned, f"What to write into your copy, for your size: {page}"], "")
    Erratum.objects.update(sizes=["L"])
    assert letters_of(notice)[0].text.split("\n")[1] == "It affects only size L."
    assert "It says: <8 rows> too many" in letter.text
    assert "&lt;8 rows&gt; too many" in letter.html
    assert "if your version has it" in letters["unknown"].text
    assert "/patterns/brackenmere-pullover/which/" in letters["unknown"].text


def test_notices_are_named_by_what_they_are_about_and_two_drafts_say_so(notice):
    pattern = notice.version.pattern
    (one,) = named_notices([notice])
    (erratum,) = untold_errata(notice.version)
    (place,) = found_places([erratum])
    assert one.about == f"{place}, in {present(erratum.found_in).number}"
    assert one.others == ()
    edit(pattern, lambda document: document.update(summary="Other words."))
    later = Notice.objects.create(version=make_version(pattern, number="1.5"))
    assert [named.others for named in named_notices([notice, later])] == [("1.5",), (notice.version.number,)]
    notice.errata.add(erratum)
    notice.state = "sent"
    assert [named.about for named in named_notices([notice])] == [one.about]


def test_a_letter_names_the_newest_version_that_is_free_of_the_mistake(notice):
    pattern = notice.version.pattern
    edit(pattern, lambda document: document.update(summary="Other words."))
    make_version(pattern, number="1.3")
    edit(pattern, wrong_armhole)
    make_version(pattern, number="1.4")
    for letter in letters_of(notice):
        assert "Version 1.3 is out" in letter.text


def test_errata_say_how_many_holders_were_told_and_how_many_were_not(notice):
    # By hand: two hold 1.1, which has the mistake, and two do not know what they hold; 1.0 has none.
    pattern = notice.version.pattern
    versions = list(Version.objects.filter(pattern=pattern))
    (row,) = errata_rows(pattern, versions)
    assert row.told == "0 e-mailed, 4 still to e-mail"
    notice.errata.add(row.erratum)
    holder = Holder.objects.filter(version__minor=1, state="wants")[0]
    NoticeMail.objects.create(notice=notice, holder=holder, state="handed")
    assert errata_rows(pattern, versions)[0].told == "1 e-mailed, 3 still to e-mail"
    Holder.objects.filter(pk=holder.pk).update(version=notice.version)
    assert errata_rows(pattern, versions)[0].told == "1 e-mailed, 3 still to e-mail"


def test_a_release_that_corrects_nothing_and_a_test_version_draft_none():
    pattern = make_pattern()
    make_version(pattern, kind="test", number="0.1")
    make_version(pattern, number="1.0")
    assert not Notice.objects.exists()


def test_letters_go_once_to_those_who_want_them(notice, designer_client):
    url = reverse("notice_send", args=[notice.pk])
    shown = designer_client.post(reverse("notice_preview", args=[notice.pk]), {"words": "Look it up."})
    assert "Look it up." in page_text(shown)
    assert not mail.outbox
    send_form(designer_client, url, action=url, page=shown.content.decode(), words="Fetch the new one.")
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
    assert notice_progress(notice) == {
        "all": 4, "done": 4, "waiting": 0, "handed": 4, "refused": 0, "skipped": 0,
    }  # fmt: skip
    designer_client.post(leave.removeprefix("https://larkmoss.example"))
    assert Holder.objects.get(email="holder1-0@larkmoss.example").state == "left"
    assert "4 of 4 e-mails" in page_text(designer_client.get(reverse("notice", args=[notice.pk])))


def test_a_holder_whose_version_is_renewed_meanwhile_does_not_hold_up_the_others(notice, monkeypatch):
    """The table of the next buyers may say that somebody has the corrected version by now."""
    corrected = notice.version
    real = sending.take_letters

    def take(found, batch):
        Holder.objects.filter(email="holder1-0@larkmoss.example").update(version=corrected)
        return real(found, batch)

    monkeypatch.setattr(sending, "take_letters", take)
    start_notice(notice=notice, words="", by=None)
    notice.refresh_from_db()
    assert notice.state == "sent"
    assert len(mail.outbox) == 3
    assert NoticeMail.objects.get(holder__email="holder1-0@larkmoss.example").state == "skipped"


def test_who_becomes_a_holder_while_it_is_sent_gets_the_letter_too(notice, monkeypatch):
    held = notice.version.pattern.versions.get(major=1, minor=1)
    real = sending.take_letters

    def take(found, batch):
        Holder.objects.get_or_create(pattern=held.pattern, version=held, email="late@larkmoss.example")
        return real(found, batch)

    monkeypatch.setattr(sending, "take_letters", take)
    start_notice(notice=notice, words="", by=None)
    notice.refresh_from_db()
    assert notice.state == "sent"
    assert [one.to[0] for one in mail.outbox].count("late@larkmoss.example") == 1
    assert len(mail.outbox) == 5


def test_a_dropped_notice_tells_nobody(notice, designer_client):
    page, drop = (reverse(name, args=[notice.pk]) for name in ("notice", "notice_drop"))
    assert send_form(designer_client, page, action=drop).status_code == 302
    assert start_notice(notice=notice, words="", by=None) is False
    designer_client.post(reverse("notice_resume", args=[notice.pk]))
    assert not mail.outbox


@pytest.mark.parametrize("decide", ["notice_send", "notice_drop"])
def test_a_notice_that_tells_more_than_was_seen_is_looked_at_again(designer_client, decide):
    """A colleague notes one more correction while the designer reads the letters."""
    first, second = released_twice()
    Holder.objects.create(pattern=first.pattern, version=first, email="ida@larkmoss.example")
    correct_afterwards(erratum=found_wrong(first.pattern, first, "8 rows too many"), version=second, by=None)
    notice = Notice.objects.get()
    address, action = reverse("notice", args=[notice.pk]), reverse(decide, args=[notice.pk])
    page = designer_client.get(address).content.decode()
    late = found_wrong(first.pattern, first, "an odd number")
    correct_afterwards(erratum=late, version=second, by=None)
    answer = send_form(designer_client, address, action=action, page=page)
    said = answer.content.decode()
    assert answer.status_code == 409
    assert "This was changed after you opened the page" in said
    assert "To holders of 1.0, paragraph" in said
    assert "an odd number" in said
    notice.refresh_from_db()
    assert (notice.state, list(notice.errata.all())) == ("draft", [])
    assert not mail.outbox
    assert send_form(designer_client, address, action=action, page=said).status_code == 302
    assert late in notice.errata.all()


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
    assert [one.pk for one in take_letters(notice, "two")] == [one.pk for one in mails[3:]]
    settle("two")
    NoticeMail.objects.update(try_at=None)
    assert [one.pk for one in take_letters(notice, "three")][-1] == mails[2].pk, "tried before, it goes last"


def test_a_journal_goes_once_the_database_knows(notice, django_capture_on_commit_callbacks):
    with Journal("four") as journal:
        journal.note(7, "handed")
    assert read_journal("four") == {7: ("handed", "")}
    with django_capture_on_commit_callbacks(execute=True):
        settle("four")
    assert read_journal("four") == {}


def found_wrong(pattern, version, says="8 rows too many"):
    """A confirmed mistake of a version, with somebody who holds the version."""
    erratum = report_erratum(
        Mistake(pattern=pattern, place="values.sleeve_rows", says=says, found_in=version)
    )
    judge_erratum(erratum=erratum, is_mistake=True)
    Holder.objects.get_or_create(pattern=pattern, email="ida@larkmoss.example", defaults={"version": version})
    return erratum


def released_twice():
    """1.0 with a mistake, and 1.1 without it, published before anybody wrote it down."""
    pattern = make_pattern()
    edit(pattern, wrong_armhole)
    first = make_version(pattern, number="1.0")
    edit(pattern, mended_armhole)
    return first, make_version(pattern, number="1.1")


def test_a_correction_noted_after_its_release_drafts_a_notice(designer_client):
    first, second = released_twice()
    erratum = found_wrong(first.pattern, first)
    assert not Notice.objects.exists()
    args = [first.pattern.slug, erratum.pk]
    address = reverse("erratum", args=args)
    send_form(designer_client, address, action=reverse("erratum_correct", args=args), version=second.pk)
    page = designer_client.get(address)
    notice = Notice.objects.get()
    assert (notice.version, notice.state) == (second, "draft")
    assert "A notice to holders is drafted." in page_text(page)
    assert reverse("notice", args=[notice.pk]) in page_text(page)
    assert [one.number for one in letters_of(notice)] == ["1.0"]
    errata = page_text(designer_client.get(reverse("errata", args=args[:1])))
    assert reverse("notice", args=[notice.pk]) in errata
    assert "Send the notice to its holders" in page_text(designer_client.get(reverse("desk")))


def test_what_a_notice_has_told_is_not_told_again(designer_client):
    first, second = released_twice()
    for says in ("8 rows too many", "an odd number"):
        correct_afterwards(erratum=found_wrong(first.pattern, first, says), version=second, by=None)
    assert start_notice(notice=Notice.objects.get(), words="", by=None)
    late = found_wrong(first.pattern, first, "too long")
    assert notices_about(late) == []
    correct_afterwards(erratum=late, version=second, by=None)
    sent, drafted = Notice.objects.order_by("pk")
    assert (sent.state, drafted.state) == ("sent", "draft")
    assert notices_about(late) == [drafted]
    (letter,) = letters_of(drafted)
    assert "too long" in letter.text
    assert "an odd number" not in letter.text
    page, drop = (reverse(name, args=[drafted.pk]) for name in ("notice", "notice_drop"))
    send_form(designer_client, page, action=drop)
    assert draft_notice(second) is None  # nobody is to be told, and that stays so
    assert [one.state for one in notices_about(late)] == ["dropped"]
    assert len(mail.outbox) == 1


def test_who_has_the_oldest_version_reads_of_every_correction_since_it(designer_client):
    first, second = released_twice()
    correct_afterwards(erratum=found_wrong(first.pattern, first), version=second, by=None)
    assert start_notice(notice=Notice.objects.get(), words="", by=None)
    Holder.objects.create(pattern=first.pattern, version=second, email="wren@larkmoss.example")
    third = make_version(first.pattern, number="1.2")
    Erratum.objects.create(
        pattern=first.pattern, place="gauge", says="14 stitches", found_in=second, state="corrected",
        corrected_in=third,
    )  # fmt: skip
    draft_notice(third)
    drafted = Notice.objects.get(version=third)
    told = {one.number: one.text for one in letters_of(drafted)}
    new, before = told["1.0"].partition("Corrected before")[::2]
    assert "One new correction; one that you may have had before." in new
    assert "14 stitches" in new
    assert "8 rows too many" not in new
    assert "Sleeve, rows\n  It says: 8 rows too many" in before.partition("Steps that changed")[0]
    assert "Corrected before" not in told["1.1"]
    page = page_text(designer_client.get(reverse("notice", args=[drafted.pk])))
    assert "8 rows too many" in page


def test_a_letter_names_what_no_version_corrects_yet_and_a_later_notice_tells_of_its_correction():
    first, second = released_twice()
    correct_afterwards(erratum=found_wrong(first.pattern, first), version=second, by=None)
    Erratum.objects.create(
        pattern=first.pattern, place="gauge", says="14 stitches", should_say="15 stitches", found_in=first,
        state="confirmed", sizes=["M"], gravity="misleading",
    )  # fmt: skip
    Erratum.objects.create(pattern=first.pattern, place="photo", says="a guess", found_in=first)
    Holder.objects.create(pattern=first.pattern, version=None, email="wren@larkmoss.example")
    told = {one.number: one for one in letters_of(Notice.objects.get())}
    new, waiting = told["1.0"].text.partition("Wrong too, and no version corrects it yet")[::2]
    assert "14 stitches" not in new
    assert "sizes M\n  It says: 14 stitches\n  It should say: 15 stitches" in waiting
    assert "15 stitches</strong>" in told["1.0"].html
    assert "a guess" not in told["1.0"].text, "nobody has confirmed it"
    assert "Wrong too" not in told[UNKNOWN].text
    assert start_notice(notice=Notice.objects.get(), words="", by=None)
    assert not untold_errata(second), "what was named as open is no correction that was told"
    third = make_version(first.pattern, number="1.2")
    Erratum.objects.filter(place="gauge").update(state="corrected", corrected_in=third)
    assert [one.place for one in untold_errata(third)] == ["gauge"]


def test_who_got_a_letter_that_lists_an_older_correction_counts_as_told_of_it():
    first, second = released_twice()
    correct_afterwards(erratum=found_wrong(first.pattern, first), version=second, by=None)
    (older,) = Erratum.objects.all()
    third = make_version(first.pattern, number="1.2")
    Erratum.objects.create(
        pattern=first.pattern, place="gauge", says="14 stitches", found_in=first, state="corrected",
        corrected_in=third,
    )  # fmt: skip
    versions = list(Version.objects.filter(pattern=first.pattern))

    def told():
        return next(row.told for row in errata_rows(first.pattern, versions) if row.erratum == older)

    before = told()
    draft_notice(third)
    assert start_notice(notice=Notice.objects.get(version=third), words="", by=None)
    sent = Notice.objects.get(version=third)
    assert sent.listed == {"1.0": [older.pk]}
    holder = Holder.objects.filter(version=first, state="wants")[0]
    NoticeMail.objects.update_or_create(notice=sent, holder=holder, defaults={"state": "handed"})
    assert before.startswith("0 e-mailed")
    assert told().startswith("1 e-mailed")
    draft = Notice.objects.get(version=second)
    assert told_before(draft, errata_to_tell(draft)) == {holder.pk}
    assert told_before(draft, [*errata_to_tell(draft), Erratum(pk=0)]) == set()


def test_a_notice_goes_to_those_alone_who_were_not_told(designer_client):
    first, second = released_twice()
    correct_afterwards(erratum=found_wrong(first.pattern, first), version=second, by=None)
    (older,) = Erratum.objects.all()
    third = make_version(first.pattern, number="1.2")
    later = Notice.objects.create(version=third, state="sent", listed={"1.0": [older.pk]})
    told = Holder.objects.filter(version=first, state="wants")[0]
    rest = Holder.objects.create(pattern=first.pattern, version=first, email="rest@larkmoss.example")
    NoticeMail.objects.create(notice=later, holder=told, state="handed")
    draft = Notice.objects.get(version=second)
    url = reverse("notice", args=[draft.pk])
    page = page_text(designer_client.get(url))
    others = Holder.objects.filter(version=first, state="wants").count() - 1
    assert f"Send to the {others} holder{'' if others == 1 else 's'} not told yet" in page
    seen = designer_client.get(url).context["seen"]
    designer_client.post(reverse("notice_send", args=[draft.pk]), {"untold": "", "seen": seen})
    states = dict(draft.mails.values_list("holder", "state"))
    assert states[told.pk] == "skipped"
    assert states[rest.pk] == "handed"
    assert told.email not in [to for one in mail.outbox for to in one.to]
    assert "1 not sent: unsubscribed meanwhile, or told before" in page_text(designer_client.get(url))


def test_a_correction_in_a_test_version_is_told_with_the_release_after_it(client):
    client.force_login(make_person(role="editor"))
    pattern = make_pattern()
    edit(pattern, wrong_armhole)
    erratum = found_wrong(pattern, make_version(pattern, number="1.0"))
    edit(pattern, mended_armhole)
    test_version = make_version(pattern, kind="test", number="1.1")
    correct_afterwards(erratum=erratum, version=test_version, by=None)
    assert not Notice.objects.exists()
    args = [pattern.slug, erratum.pk]
    assert "with the next release" in page_text(client.get(reverse("erratum", args=args)))
    release = make_version(pattern, number="1.2")
    assert notices_about(erratum) == [Notice.objects.get(version=release)]
    page = page_text(client.get(reverse("erratum", args=args)))
    assert "Notice of 1.2: draft" in page
    assert "/studio/notices/" not in page  # an editor who may not publish can't open it
    make_version(pattern, number="1.3")
    assert Notice.objects.count() == 1


def test_a_letter_to_look_at_shows_no_address_that_leads_nowhere(notice, designer_client):
    url = reverse("notice", args=[notice.pk])
    drafted = page_text(designer_client.get(url))
    send_form(designer_client, url, action=reverse("notice_send", args=[notice.pk]))
    sent = page_text(designer_client.get(url))
    for page in (drafted, sent):
        assert "Corrections to Brackenmere Pullover 1.1" in page
        assert "here each holder&#x27;s own address" in page
        assert "leave.invalid" not in page


def test_corrections_are_told_in_the_order_of_the_pattern(client):
    first, second = released_twice()
    for place in (
        "sections[10].steps[0]",
        "values.sleeve_rows",
        "sections[2].steps[1]",
        "gauge",
        "materials",
    ):
        erratum = Erratum.objects.create(
            pattern=first.pattern, place=place, found_in=first, state="corrected"
        )
        Erratum.objects.filter(pk=erratum.pk).update(corrected_in=second)
    expected = ["materials", "gauge", "values.sleeve_rows", "sections[2].steps[1]", "sections[10].steps[0]"]
    assert [one.place for one in untold_errata(second)] == expected
    page = client.get(reverse("corrections", args=[first.pattern.slug, "1.0"]))
    read = [one.applying.erratum.place for one in page.context["followed"].errata]
    assert read == [place for place in expected if place in read]
    assert len(read) >= 3


def test_only_a_later_version_is_offered_as_the_one_that_corrects(designer_client):
    first, second = released_twice()
    third = make_version(first.pattern, number="1.2")
    pages = []
    for version in (first, second):
        erratum = found_wrong(first.pattern, version, f"found in {version.number}")
        pages.append(designer_client.get(reverse("erratum", args=[first.pattern.slug, erratum.pk])))
    early, late = pages
    assert list(early.context["form"].fields["version"].queryset) == [third, second]
    assert "1.2: in it" in page_text(late)
    assert "No version that corrects it is published yet." in page_text(late)
    assert "It is corrected in this version" not in page_text(late)
    assert f"{erratum.pk - 1}: Sleeve, rows: found in 1.0" in page_text(late)  # the other one, in words


def test_the_history_calls_what_changed_by_its_label(designer_client):
    first, _ = released_twice()
    erratum = found_wrong(first.pattern, first)
    url = reverse("erratum_change", args=[first.pattern.slug, erratum.pk])
    send_form(designer_client, url, due_on="2026-05-03", should_say="8 rows fewer")
    says = erratum.events.last().says
    assert says.startswith("Changed: what it should say; day to settle it by, from ")
    assert says.endswith(" to 3 May 2026.")


def test_who_becomes_a_holder_afterwards_is_told_when_the_studio_says_so(notice, designer_client):
    page = reverse("notice", args=[notice.pk])
    start_notice(notice=notice, words="", by=None)
    first = {letter.to[0] for letter in mail.outbox}
    mail.outbox.clear()
    assert "Not e-mailed yet" not in page_text(designer_client.get(page))

    pattern = notice.version.pattern
    concerned = Version.objects.get(pattern=pattern, minor=1)
    for name, version, state in (
        ("late", concerned, "wants"),
        ("unsure", None, "wants"),
        ("right", Version.objects.get(pattern=pattern, minor=0), "wants"),
        ("gone-again", concerned, "left"),
    ):
        address = f"{name}@larkmoss.example"
        Holder.objects.create(pattern=pattern, version=version, email=address, state=state)
    assert "Send to 2 more holders" in page_text(designer_client.get(page))
    listed = page_text(designer_client.get(reverse("holders")))
    assert "2 came since and are not told" in listed
    designer_client.post(reverse("notice_newcomers", args=[notice.pk]))
    told = sorted(letter.to[0] for letter in mail.outbox)
    assert told == ["late@larkmoss.example", "unsure@larkmoss.example"]
    assert not first & set(told)
    notice.refresh_from_db()
    assert notice.state == "sent"
    designer_client.post(reverse("notice_newcomers", args=[notice.pk]))
    assert len(mail.outbox) == 2, "nobody is told twice"


def test_who_holds_a_version_that_nobody_held_then_is_told_afterwards(notice):
    Holder.objects.filter(version__minor=1).delete()
    Holder.objects.filter(version=None).delete()
    start_notice(notice=notice, words="", by=None)
    mail.outbox.clear()
    concerned = Version.objects.get(pattern=notice.version.pattern, minor=1)
    new = [
        NewHolder("late@larkmoss.example", notice.version.pattern, concerned, None),
        NewHolder("unsure@larkmoss.example", notice.version.pattern, None, None),
    ]
    store_holders(holders=new, source="imported")
    for state in ("bounced", "complained"):
        Holder.objects.create(
            pattern=concerned.pattern, version=concerned, email=f"{state}@larkmoss.example", state=state
        )
    assert tell_newcomers(notice=notice)
    assert sorted(letter.to[0] for letter in mail.outbox) == [one.email for one in new]
    assert all("Corrections to" in letter.subject for letter in mail.outbox)


def test_two_drafts_for_the_same_people_become_one_e_mail_each_with_both_corrections(notice, designer_client):
    pattern, older = notice.version.pattern, notice.version
    found_in = Version.objects.get(pattern=pattern, minor=1)
    place = "sections[0].steps[0]"
    late = Mistake(pattern=pattern, place=place, says="Turn.", should_say="Do not turn.", found_in=found_in)
    erratum = report_erratum(late)
    judge_erratum(erratum=erratum, is_mistake=True)
    edit(pattern, lambda document: document["sections"][0]["steps"].__setitem__(0, "Do not turn."))
    newer = make_version(pattern, number="1.3", corrects=[erratum])
    drafts = Notice.objects.filter(state="draft")
    assert [one.version for one in drafts.order_by("pk")] == [older, newer]
    url = reverse("notice", args=[notice.pk])
    first_page = page_text(designer_client.get(url))
    assert f"<h1>{pattern.title}: corrections out in 1.2</h1>" in first_page
    assert "The e-mails name version 1.3: it is the newest" in first_page
    assert "4 holders would get both" in " ".join(page_text(designer_client.get(url)).split())
    answer = designer_client.post(reverse("notice_join", args=[notice.pk]))
    joined = drafts.get()
    assert (joined.version, answer["Location"]) == (newer, reverse("notice", args=[joined.pk]))
    both = page_text(designer_client.get(answer["Location"]))
    assert f"<h1>{pattern.title}: corrections out in 1.2 and 1.3</h1>" in both
    assert f"<title>Notice · {pattern.title}: corrections out in 1.2 and 1.3 · " in both
    assert "The e-mails name version" not in both
    # A correction that comes late to 1.2 is told by the one that took its draft over.
    assert draft_notice(older) == joined
    start_notice(notice=joined, words="", by=None)
    to_one = [one for one in mail.outbox if one.to == ["holder1-0@larkmoss.example"]]
    assert len(to_one) == 1
    assert "<8 rows> too many" in to_one[0].body
    assert "It says: Turn." in to_one[0].body
    assert set(joined.errata.all()) == set(Erratum.objects.all())
