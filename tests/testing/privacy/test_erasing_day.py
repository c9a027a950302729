"""The promised day: it is the studio's, a clock that leaps brings none, and holders go on request only."""

import datetime as dt
from datetime import timedelta

import pytest
from django.core.mail import EmailMessage
from django.urls import reverse
from django.utils import timezone

from catalogue.holders.holders import NewHolder, ask_to_confirm, store_holders
from catalogue.models import FailedChore, Holder, Letter, Person, SeenClock, Studio
from catalogue.site.backups import write_backup
from catalogue.site.restoring import restore_backup
from catalogue.studio.erasures import marks
from catalogue.studio.roles import give_role
from testing.models import Application, TestCall
from testing.privacy.erasing import erase_overdue, erase_person
from testing.running.tending import tend_calls
from tests.present import present
from tests.testing.builders import days_from_now, make_application

DAY = dt.date(2027, 6, 5)
UTC = dt.UTC


@pytest.fixture
def at(monkeypatch):
    """What the machine's clock says."""

    def at(moment):
        monkeypatch.setattr("django.utils.timezone.now", lambda: moment)

    return at


def is_erased():
    return not Application.objects.exists()


def believe(moment):
    SeenClock.objects.update_or_create(
        pk=1, defaults={"believed_at": moment, "doubted_from": None, "doubted_at": None}
    )


def hold(call, email="wren@larkmoss.example"):
    store_holders(holders=[NewHolder(email, call.pattern, call.version, None)], source="typed")
    return Holder.objects.get(email=email)


@pytest.mark.parametrize(
    ("zone", "begins"),
    [
        ("UTC", dt.datetime(2027, 6, 5, 0, tzinfo=UTC)),
        ("America/Vancouver", dt.datetime(2027, 6, 5, 7, tzinfo=UTC)),
        ("Pacific/Auckland", dt.datetime(2027, 6, 4, 12, tzinfo=UTC)),
        ("Gone/Away", dt.datetime(2027, 6, 5, 12, tzinfo=UTC)),  # it begins nowhere later
    ],
)
def test_data_goes_when_its_day_begins_where_the_studio_is_and_not_before(call, at, zone, begins):
    make_application(call)
    Studio.objects.update(time_zone=zone)
    TestCall.objects.update(erase_on=DAY)
    believe(begins)
    at(begins - timedelta(minutes=1))
    tend_calls()
    assert not is_erased()
    at(begins)
    tend_calls()
    assert is_erased()


def test_a_clock_that_leaps_erases_nothing_and_is_told(client, place, designer, at):
    now = timezone.now()
    tend_calls()
    at(now.replace(year=2038))
    for _ in range(3):
        tend_calls()
    assert not is_erased()
    assert Person.objects.filter(pk=present(place.person).pk).exists()
    assert not marks()
    said = FailedChore.objects.get().why
    assert said.startswith("the clock of this machine says ")
    assert f"{now:%-d %B} 2038" in said
    assert f"said {now:%-d %B %Y}" in said
    client.force_login(designer)
    assert "correct it if it is wrong" in client.get(reverse("desk")).content.decode()
    at(now + timedelta(minutes=5))
    tend_calls()
    assert not FailedChore.objects.exists()
    assert not is_erased()


def test_the_very_first_look_at_a_clock_is_held_against_what_happened(place, at):
    at(timezone.now().replace(year=2038))
    tend_calls()
    assert not is_erased()


def test_a_studio_that_was_closed_erases_once_its_clock_has_gone_on(place, at):
    TestCall.objects.update(erase_on=days_from_now(20))
    back = timezone.now() + timedelta(days=30)
    tend_calls()
    for hours, gone in ((0, False), (47, False), (48, True)):
        at(back + timedelta(hours=hours))
        tend_calls()
        assert is_erased() is gone
    assert not FailedChore.objects.exists()


def test_a_studio_opened_once_a_week_erases_too(place, at):
    TestCall.objects.update(erase_on=days_from_now(1))
    start = timezone.now()
    for week in range(3):
        at(start + timedelta(weeks=week))
        tend_calls()
    assert is_erased()


def test_a_clock_that_leaps_again_and_again_is_never_believed(place, at):
    start = timezone.now()
    tend_calls()
    for year in range(1, 6):
        at(start.replace(year=start.year + 10 * year))
        tend_calls()
    assert not is_erased()


def test_a_clock_in_doubt_holds_up_nobody_who_asks(place, at):
    tend_calls()
    at(timezone.now().replace(year=2038))
    tend_calls()
    erase_person(person=present(place.person))
    assert is_erased()


def test_a_backup_brings_back_what_a_wrong_clock_erased(place, tmp_path, settings, monkeypatch):
    """Marks are for what people asked for; the day comes again by itself."""
    settings.DATA_DIR = tmp_path
    write_backup(tmp_path / "studio.zip")
    monkeypatch.setattr("testing.privacy.erasing.studio_day", lambda: dt.date(2038, 1, 1))
    assert erase_overdue() == 1
    assert is_erased()
    assert not marks()
    monkeypatch.undo()
    settings.DATA_DIR = tmp_path
    assert restore_backup(tmp_path / "studio.zip", replace=True).erased == 0
    assert not is_erased()


def test_a_tester_whose_day_comes_goes_on_hearing_of_corrections(place, django_capture_on_commit_callbacks):
    holder = hold(place.call)
    TestCall.objects.update(erase_on=days_from_now(-1))
    with django_capture_on_commit_callbacks(execute=True):
        tend_calls()
    assert not FailedChore.objects.exists()
    assert is_erased()
    assert not Person.objects.filter(email=holder.email).exists()
    assert Holder.objects.get() == holder
    assert not marks()


def test_letters_to_a_holder_stay_on_the_day_and_a_testers_own_go(place, settings):
    from catalogue.studio.mail_folder import FolderBackend

    holder = hold(place.call)
    Letter.objects.all().delete()
    for about in ("", f"application-{place.application_id}", f"holder-{holder.pk}"):
        Letter.objects.create(
            to=holder.email, subject="Hello", text=about, about=about, try_at=timezone.now()
        )
    for name in ("letter.1", f"application-{place.application_id}.2", f"holder-{holder.pk}.3", "notice.4"):
        mail = EmailMessage("Hello", name, "a@larkmoss.example", [holder.email])
        mail.extra_headers["Message-ID"] = f"<{name}@larkmoss.example>"
        FolderBackend().send_messages([mail])
    TestCall.objects.update(erase_on=days_from_now(-1))
    tend_calls()
    assert is_erased()
    assert [letter.about for letter in Letter.objects.all()] == [f"holder-{holder.pk}"]
    kept = [path.read_text() for path in settings.MAIL_DIR.glob("*.eml")]
    assert sorted("<notice.4" in text or f"<holder-{holder.pk}.3" in text for text in kept) == [True, True]


def test_a_holder_who_asks_to_be_erased_goes_too(place):
    hold(place.call)
    ask_to_confirm(pattern=place.call.pattern, email="moss@larkmoss.example", version=None)
    erase_person(person=present(place.person))
    assert [one.email for one in Holder.objects.all()] == ["moss@larkmoss.example"]


def test_an_account_goes_with_the_last_of_its_applications(place):
    other = make_application(place.call, name="Moss Reed", email="moss@larkmoss.example")
    later = TestCall.objects.create(
        **{
            field.attname: getattr(place.call, field.attname)
            for field in TestCall._meta.concrete_fields
            if field.name not in ("id", "erase_on", "slug")
        },
        slug="later",
        erase_on=days_from_now(100),
    )
    again = make_application(later)
    TestCall.objects.filter(pk=place.call_id).update(erase_on=days_from_now(-1))
    tend_calls()
    assert not Application.objects.filter(pk__in=[other.pk, place.application_id]).exists()
    assert Person.objects.filter(pk=present(place.person).pk).exists()
    assert Application.objects.get() == again


def test_a_member_of_the_studio_keeps_the_account_on_the_day(place):
    give_role(person=present(place.person), role="editor")
    TestCall.objects.update(erase_on=days_from_now(-1))
    tend_calls()
    assert is_erased()
    assert Person.objects.filter(pk=present(place.person).pk).exists()


def test_kept_for_others_the_day_is_read_as_the_studio_has_it_now(call, at):
    """A studio that moves west gets a later day, never an earlier one than its own."""
    make_application(call)
    TestCall.objects.update(erase_on=DAY)
    morning = dt.datetime(2027, 6, 5, 1, tzinfo=UTC)
    believe(morning)
    at(morning)
    Studio.objects.update(time_zone="America/Vancouver")
    tend_calls()
    assert not is_erased()
