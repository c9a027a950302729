"""Yarn that was given: promises, dates on the first page, and the giver's data given out and erased."""

import datetime as dt

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Erratum, MakerQuestion, RightsNote, SupportPromise, TargetDate, YarnSupport
from catalogue.questions.erasing import erase_asker
from catalogue.selling.outsiders import erase_outsiders_again
from catalogue.studio.out_of_reach import FilesOutOfReach
from testing.privacy.erasing import erase_person
from testing.privacy.privacy import held_about
from tests.builders import make_person
from tests.catalogue.builders import make_pattern, make_version

pytestmark = pytest.mark.django_db
MILL = "mill@larkmoss.example"


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def words(answer):
    return " ".join(answer.content.decode().split())


def make_support(**fields):
    known = {
        "giver": "Ida Fulling",
        "email": MILL,
        "given": "12 balls of Skeinbury",
        "note": "Ida likes tea.",
    }
    return YarnSupport.objects.create(**{**known, **fields})


def test_a_gift_its_promises_and_what_is_done(client, designer):
    pattern = make_pattern()
    new = f"{reverse('yarn_support_new')}?pattern={pattern.slug}&yarn=999"
    assert client.get(new).context["form"]["pattern"].value() == pattern.pk
    typed = {
        "giver": "Fulling Lane Mill",
        "given": "12 balls",
        "pattern": pattern.pk,
        "email": "",
        "note": "",
    }
    client.post(new, typed)
    found = YarnSupport.objects.get()
    client.post(reverse("promise_add", args=[found.pk]), {"says": "Name the mill", "due_on": "2026-03-09"})
    assert "1 of 1 promise open" in words(client.get(reverse("yarn_supports")))
    promise = SupportPromise.objects.get()
    client.post(reverse("promise_done", args=[promise.pk]))
    assert "All promises are kept" in words(client.get(reverse("yarn_supports")))
    client.post(reverse("promise_done", args=[promise.pk]))
    client.post(reverse("promise_delete", args=[promise.pk]))
    assert not SupportPromise.objects.exists()


@pytest.mark.parametrize(
    ("name", "typed", "says"),
    [
        ("promise_add", {"says": "Name the mill", "due_on": "soon"}, "Enter a valid date."),
        ("yarn_support", {"giver": "Mill", "given": ""}, "This field is required."),
        ("yarn_support", {"giver": "Mill", "given": "12", "email": "no address"}, "no address"),
    ],
)
def test_what_does_not_fit_is_refused_and_stays_typed(client, designer, name, typed, says):
    found = make_support()
    answer = client.post(reverse(name, args=[found.pk]), typed)
    assert answer.status_code == 400
    assert says in words(answer)
    assert typed.get("says", typed.get("given")) in words(answer)


@pytest.mark.parametrize("yarn", ["x", "-1", "9" * 30, "²"])
def test_an_unknown_yarn_in_the_address_chooses_none(client, designer, yarn):
    answer = client.get(reverse("yarn_support_new"), {"yarn": yarn, "pattern": "none\x00"})
    assert answer.status_code == 200


def test_the_first_page_has_the_next_dates_first_and_says_what_is_overdue(client, designer):
    pattern, today = make_pattern(), timezone.localdate()
    for what, days in (("Photos", 3), ("Text", -4), ("Release", 0)):
        TargetDate.objects.create(pattern=pattern, what=what, due_on=today + dt.timedelta(days=days))
    TargetDate.objects.create(pattern=pattern, what="Over", due_on=today, done_on=today)
    RightsNote.objects.create(pattern=pattern, whose="Quarterly", back_on=today - dt.timedelta(days=1))
    SupportPromise.objects.create(
        support=make_support(pattern=pattern), says="Name the mill", due_on=today + dt.timedelta(days=1)
    )
    said = [(one.what, one.when) for one in client.get(reverse("studio_dates")).context["dates"]]
    assert said == [
        ("Text", "overdue by 4 days"),
        ("Rights back from Quarterly", "1 day ago"),
        ("Release", "today"),
        ("Promised for yarn: Name the mill", "in 1 day"),
        ("Photos", "in 3 days"),
    ]
    desk = words(client.get(reverse("desk")))
    assert "<strong>overdue by 4 days</strong>" in desk
    client.force_login(make_person(role="editor"))
    assert "Name the mill" not in words(client.get(reverse("desk")))


@pytest.mark.usefixtures("quick_pdf")
def test_the_first_page_asks_no_more_for_more_dates(client, designer):
    pattern = make_pattern()
    TargetDate.objects.create(pattern=pattern, what="Photos", due_on="2026-03-02")
    with_one = queries(client)
    TargetDate.objects.bulk_create(
        TargetDate(pattern=pattern, what=f"Photo {n}", due_on="2026-03-02") for n in range(30)
    )
    assert queries(client) == with_one
    assert "All dates (27 more)" in words(client.get(reverse("desk")))


def queries(client):
    client.get(reverse("desk"))
    with CaptureQueriesContext(connection) as asked:
        client.get(reverse("desk"))
    return len(asked)


def make_question(version, **fields):
    known = {"says": "How many rows has the hem?", "name": "Ida", "email": MILL, "asked_on": "2026-03-02"}
    return MakerQuestion.objects.create(pattern=version.pattern, version=version, **{**known, **fields})


WHERE = "Back, step 1"


def hold_both():
    support = make_support(email=MILL.upper(), got_on="2026-02-01")
    SupportPromise.objects.create(support=support, says="Name the mill", due_on="2026-04-01")
    version = make_version(kind="test", number="0.1")
    return support, make_question(version, place="sections[0].steps[0]", answer="28.")


def test_somebody_with_an_account_sees_all_that_they_gave_and_asked(client):
    client.force_login(make_person(email=MILL))
    asked = words(client.get(reverse("my_data_erase")))
    assert "yarn that you gave" not in asked, "only what there is"
    assert "e-mails about corrections" not in asked
    hold_both()
    page = words(client.get(reverse("my_data")))
    for said in (
        "Yarn support, as Ida Fulling, 1 February 2026: 12 balls of Skeinbury",
        "The designer’s note: Ida likes tea.",
        "Promised: Name the mill, by 1 April 2026; open",
        "Question, as Ida, 2 March 2026: How many rows has the hem?",
        f"Where: {WHERE}",
        "Answer: 28.",
    ):
        assert said in page
    assert "Your name on yarn that you gave" in words(client.get(reverse("my_data_erase")))


def test_somebody_without_an_account_is_found_by_address_and_erased(client, designer):
    support, question = hold_both()
    erratum = Erratum.objects.create(pattern=question.pattern, place="", why=f"Asked: {question.says}")
    MakerQuestion.objects.update(erratum=erratum)
    address = reverse("held_by_address")
    assert "Ida likes tea." in words(client.post(address, {"email": MILL}))
    assert "Nobody gave yarn" in words(client.post(address, {"email": "a@larkmoss.example"}))
    assert "This is not an e-mail address" in words(client.post(address, {"email": "mill"}))
    client.post(reverse("held_erase"), {"email": MILL})
    for row in (support, question, erratum):
        row.refresh_from_db()
    assert (support.giver, support.note, question.says) == ("", "", "[erased]")
    assert erratum.why == "Asked: [erased]"


def test_a_gift_is_edited_after_who_gave_it_is_erased(client, designer):
    found = make_support(giver="")
    address = reverse("yarn_support", args=[found.pk])
    assert "Erase the giver’s name and the note" in words(client.get(address))
    client.post(reverse("giver_erase", args=[found.pk]))
    page = client.get(address)
    assert "Erase the giver’s name and the note" not in words(page)
    client.post(address, {"given": "11 balls", "seen": page.context["form"]["seen"].value()})
    found.refresh_from_db()
    assert found.given == "11 balls"
    assert client.post(reverse("yarn_support_new"), {"given": "1 ball"}).status_code == 400


def test_sheets_that_quote_a_question_go_before_it_is_erased_again(monkeypatch):
    _, question = hold_both()
    MakerQuestion.objects.update(erratum=Erratum.objects.create(pattern=question.pattern, place=""))
    question.refresh_from_db()
    erase_asker(question)
    MakerQuestion.objects.update(says="How many rows has the hem?", name="Ida")

    def refuse():
        raise FilesOutOfReach("the disk is away")

    monkeypatch.setattr("catalogue.questions.erasing.remove_sheets", refuse)
    with pytest.raises(FilesOutOfReach):
        erase_outsiders_again()
    assert MakerQuestion.objects.get().name == "Ida"


def test_what_is_held_about_a_giver_is_given_out_and_erased_with_their_account():
    person = make_person(email=MILL)
    support, question = hold_both()
    other = make_support(email="other@larkmoss.example")
    assert held_about(person)["given_or_asked"] == [
        {"kind": "yarn support", "name": "Ida Fulling", "words": "12 balls of Skeinbury", "pattern": "",
         "day": dt.date(2026, 2, 1), "note": "Ida likes tea.",
         "promises": [{"says": "Name the mill", "due_on": dt.date(2026, 4, 1), "done_on": None}]},
        {"kind": "question", "name": "Ida", "words": "How many rows has the hem?", "place": WHERE,
         "pattern": question.pattern.title, "version": "0.1", "day": dt.date(2026, 3, 2), "answer": "28."},
    ]  # fmt: skip
    erase_person(person=person)
    for row in (support, question, other):
        row.refresh_from_db()
    assert (support.giver, support.email, support.note, support.given) == (
        "",
        "",
        "",
        "12 balls of Skeinbury",
    )
    assert (question.name, question.email, question.says) == ("", "", "[erased]")
    assert other.giver == "Ida Fulling"


def test_an_older_backup_brings_no_giver_back(client, designer):
    support = make_support()
    client.post(reverse("giver_erase", args=[support.pk]))
    YarnSupport.objects.filter(pk=support.pk).update(giver="Ida Fulling", email=MILL)
    assert erase_outsiders_again() == 1
    support.refresh_from_db()
    assert (support.giver, support.email) == ("", "")
    assert erase_outsiders_again() == 0
    client.post(reverse("yarn_support_delete", args=[support.pk]))
    assert not YarnSupport.objects.exists()
