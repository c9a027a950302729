"""Erasing is done or said to be undone: files, marks and rows, on request and on their day."""

import errno
import os
from contextlib import ExitStack, contextmanager
from datetime import timedelta
from pathlib import Path
from unittest.mock import patch

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import FileSystemStorage, default_storage
from django.core.mail import EmailMessage
from django.db import DatabaseError
from django.urls import reverse

from catalogue.holders.holders import NewHolder, holder_key, store_holders
from catalogue.models import FailedChore, Holder, Person
from catalogue.photos.pictures import clean_picture
from catalogue.site import supervisor
from catalogue.site.backups import write_backup
from catalogue.site.restoring import restore_backup
from catalogue.studio.chores import do_chore
from catalogue.studio.erasures import keep_marks, mark_of, marks
from catalogue.studio.mail_folder import FolderBackend
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.roles import give_role
from testing.applications.applications import application_key
from testing.models import Application, ResultPhoto, TestCall
from testing.places import dropouts
from testing.places.places import PlaceRefused
from testing.privacy import erasing, leftovers
from testing.privacy.erasing import erase_application, erase_person
from testing.privacy.leftovers import sweep_pictures
from testing.results.own_photos import add_photo
from testing.running import tending
from testing.running.tending import tend_calls
from tests.present import present
from tests.testing.builders import days_from_now, make_application, make_place
from tests.testing.results.test_making_pages import picture

ERASE = "Personal data whose day has come is not erased"
WISHES = "What people asked to have erased is not erased"


@pytest.fixture
def pictured(place):
    """A tester with a picture."""
    add_photo(placement=place, photo=clean_picture(picture()), alt="Wren Alder in the vest")
    return place


@contextmanager
def read_only(*names):
    """The folder of files is read-only, whoever runs the tests."""

    def refuse(*_, **__):
        raise OSError(errno.EROFS, os.strerror(errno.EROFS))

    with ExitStack() as stack:
        for name in names or ("_save", "delete"):
            stack.enter_context(patch.object(FileSystemStorage, name, refuse))
        yield


@contextmanager
def letters_stay():
    """The folder of e-mails is read-only."""
    with patch.object(Path, "unlink", side_effect=OSError(errno.EACCES, os.strerror(errno.EACCES))):
        yield


def files():
    return sorted(
        str(path.relative_to(settings.MEDIA_ROOT))
        for path in Path(settings.MEDIA_ROOT).rglob("*")
        if path.is_file()
    )


def due(call):
    TestCall.objects.update(erase_on=days_from_now(-1))


def test_personal_data_stays_undone_and_is_said_so_until_its_files_can_go(client, pictured, designer):
    due(pictured.call)
    before = files()
    with read_only():
        tend_calls()
        tend_calls()
    assert Application.objects.count() == 1
    assert files() == before
    failed = FailedChore.objects.get()
    assert str(failed) == (f"{ERASE}: the folder {settings.MEDIA_ROOT} is read-only; let it be written to.")
    client.force_login(designer)
    assert str(failed) in client.get(reverse("desk")).content.decode()
    tend_calls()
    assert not Application.objects.exists()
    assert not Person.objects.filter(email="wren@larkmoss.example").exists()
    assert all(name.startswith("erasures/") for name in files())
    assert not FailedChore.objects.exists()
    assert ERASE not in client.get(reverse("desk")).content.decode()


@pytest.mark.parametrize("what", [("delete",), ("_save", "delete")])
def test_who_cannot_be_erased_is_told_so_and_stays_signed_in(client, pictured, what):
    client.force_login(pictured.person)
    with read_only(*what):
        answer = client.post(reverse("my_data_erase"))
        page = answer.content.decode()
        assert answer.status_code == 503
        assert "Not erased yet." in page
        assert "Everything about you is erased" not in page
        assert str(settings.MEDIA_ROOT) not in page  # not the studio's folders
        assert client.get(reverse("my_making")).status_code == 200
        assert "Not erased yet." in client.get(reverse("my_data")).content.decode()
    assert Application.objects.filter(email="wren@larkmoss.example").exists()
    assert not marks()
    assert ResultPhoto.objects.count() == 1
    assert len(files()) == 4


def test_a_wish_to_be_erased_is_kept_and_fulfilled_once_it_can_be(client, pictured, designer):
    client.force_login(pictured.person)
    with read_only():
        client.post(reverse("my_data_erase"))
        asked_at = Person.objects.get(pk=present(pictured.person).pk).erase_asked_at
        client.post(reverse("my_data_erase"))
        tend_calls()
    assert FailedChore.objects.get().undone == WISHES
    person = Person.objects.get(pk=present(pictured.person).pk)
    assert person.erase_asked_at == asked_at is not None
    tend_calls()
    assert not Person.objects.filter(pk=person.pk).exists()
    assert not Application.objects.exists()
    assert not FailedChore.objects.exists()
    assert client.get(reverse("my_data")).status_code == 302  # nobody any more
    assert len(marks()) == 2


def test_an_applicant_who_cannot_be_erased_is_told_so_and_erased_later(client, call):
    application = make_application(call)
    key = application_key(application)
    FolderBackend().send_messages([EmailMessage("Hello", "Text", "a@larkmoss.example", [application.email])])
    with letters_stay():
        answer = client.post(reverse("application_erase", args=[key]))
        assert answer.status_code == 503
        assert "Not erased yet." in answer.content.decode()
        tend_calls()
    assert FailedChore.objects.get().undone == WISHES
    assert "Not erased yet." in client.get(reverse("application", args=[key])).content.decode()
    tend_calls()
    assert not Application.objects.exists()


def test_a_mark_that_cannot_be_written_waits_and_is_written_later(
    client, call, django_capture_on_commit_callbacks
):
    """What is erased is erased; the mark is for a backup that is put back one day."""
    application = make_application(call)
    mark = mark_of("application", application.pk, application.created_at)
    with read_only(), django_capture_on_commit_callbacks(execute=True):
        answer = client.post(reverse("application_erase", args=[application_key(application)]))
        assert "Your application is erased" in answer.content.decode()
    assert not Application.objects.exists()
    with read_only():
        for chore in supervisor.TENDING:
            do_chore(chore)
    assert "is read-only" in FailedChore.objects.get().why
    assert not files()
    assert marks() == {mark}
    assert keep_marks() == 1
    assert files() == [f"erasures/{mark}"]
    assert marks() == {mark}
    assert keep_marks() == 0


def test_no_backup_takes_the_place_of_marks_that_wait(call, tmp_path, settings):
    settings.DATA_DIR = tmp_path
    application = make_application(call)
    write_backup(tmp_path / "studio.zip")
    erase_application(application=application)
    with read_only("_save"), pytest.raises(FilesOutOfReach, match="is read-only"):
        restore_backup(tmp_path / "studio.zip", replace=True)
    restored = restore_backup(tmp_path / "studio.zip", replace=True)
    assert restored.erased == 1
    assert not Application.objects.exists()


def test_a_member_of_the_studio_who_waited_to_be_erased_keeps_the_account_and_waits_no_more(pictured):
    person = present(pictured.person)
    give_role(person=person, role="editor")
    erasing.wish_erased(whom=person)
    tend_calls()
    assert Person.objects.get(pk=person.pk).erase_asked_at is None
    assert not Application.objects.exists()


# Four pictures go, the letters are read twice, and one goes; then come the sweeps.
ERASING_CALLS = 8


class FailingAt:
    """A disk that refuses one call, counted from 0, and those after it too where it stays so."""

    def __init__(self, at, *, stays_so):
        self.at, self.stays_so, self.calls = at, stays_so, 0

    def around(self, do):
        def call(*arguments, **named):
            number, self.calls = self.calls, self.calls + 1
            if number == self.at or (self.stays_so and number > self.at):
                raise OSError(errno.EROFS, os.strerror(errno.EROFS))
            return do(*arguments, **named)

        return call

    @contextmanager
    def on(self):
        names = ("_save", "_open", "delete", "listdir", "get_modified_time")
        with ExitStack() as stack:
            for name in names:
                wrapped = self.around(getattr(FileSystemStorage, name))
                stack.enter_context(patch.object(FileSystemStorage, name, wrapped))
            for name in ("unlink", "read_bytes"):
                stack.enter_context(patch.object(Path, name, self.around(getattr(Path, name))))
            yield


@pytest.mark.parametrize("stays_so", [True, False])
def test_wherever_the_disk_fails_nothing_is_gone_whose_files_are_there(place, stays_so, full):
    photo, call, at = clean_picture(picture()), place.call, 0
    while True:
        tester = make_place(call, name="Moss", email="moss@larkmoss.example")
        add_photo(placement=tester, photo=photo, alt="The front")
        FolderBackend().send_messages(
            [EmailMessage("Hello", "Text", "a@larkmoss.example", [present(tester.person).email])]
        )
        erasing.wish_erased(whom=present(tester.person))
        key = tester.application_id
        disk = FailingAt(at, stays_so=stays_so)
        with disk.on():
            tend_calls()
        pictures, letters = files(), list(Path(settings.MAIL_DIR).glob("*.eml"))
        if Application.objects.filter(pk=key).exists():
            assert FailedChore.objects.filter(undone=WISHES).exists()
        else:
            assert not [name for name in pictures if not name.startswith("erasures/")]
            assert not letters
        tend_calls()
        assert not Person.objects.filter(email="moss@larkmoss.example").exists()
        assert not FailedChore.objects.exists()
        assert all(name.startswith("erasures/") for name in files())
        if disk.calls <= at:
            break
        at += 1 if full or at < ERASING_CALLS else 5
    assert at > ERASING_CALLS


def test_letters_that_cannot_go_keep_the_rows_too(client, place):
    FolderBackend().send_messages([EmailMessage("Hello", "Text", "a@larkmoss.example", [place.person.email])])
    client.force_login(place.person)
    with letters_stay():
        assert client.post(reverse("my_data_erase")).status_code == 503
        tend_calls()
    assert Person.objects.filter(pk=place.person.pk).exists()
    assert f"the folder {settings.MAIL_DIR} may not be used" in FailedChore.objects.get().why
    tend_calls()
    assert not Person.objects.filter(pk=place.person.pk).exists()
    assert not list(Path(settings.MAIL_DIR).glob("*.eml"))


def test_rows_that_stay_after_all_leave_no_mark_that_would_erase_them_later(pictured):
    with patch.object(erasing, "give_on", side_effect=DatabaseError("busy")):
        for erase in (
            lambda: erase_application(application=pictured.application),
            lambda: erase_person(person=pictured.person),
        ):
            with pytest.raises(DatabaseError):
                erase()
    assert not marks()
    assert Application.objects.exists()


def test_one_application_that_cannot_be_erased_does_not_keep_the_others(call, monkeypatch):
    first = make_application(call)
    for name in ("moss", "reed"):
        make_application(call, name=name.title(), email=f"{name}@larkmoss.example")
    due(call)
    erase = erasing._erase_rows

    def stumble(application):
        if application.pk == first.pk:
            raise ValueError("a mistake")
        erase(application)

    monkeypatch.setattr(erasing, "_erase_rows", stumble)
    tend_calls()
    assert [one.pk for one in Application.objects.all()] == [first.pk]
    assert "made a mistake (ValueError)" in FailedChore.objects.get().why


def test_one_reminder_that_cannot_be_written_does_not_keep_the_others(call, monkeypatch):
    places = [make_place(call, name=name, email=f"{name}@larkmoss.example") for name in ("moss", "reed")]
    reminded = []

    def stumble(placement, today):
        if placement.pk == places[0].pk:
            raise ValueError("a mistake")
        reminded.append(placement.pk)
        return 1

    monkeypatch.setattr(tending, "_remind", stumble)
    tend_calls()
    assert reminded == [places[1].pk]
    assert "ValueError" in FailedChore.objects.get().why


def test_nobody_on_the_waiting_list_who_can_be_offered_the_place_stops_no_erasing(pictured, monkeypatch):
    monkeypatch.setattr(dropouts, "fill_place", lambda **_: (_ for _ in ()).throw(PlaceRefused("no version")))
    erase_person(person=present(pictured.person))
    assert not Application.objects.exists()


def test_pictures_of_a_result_that_is_gone_are_swept_and_others_stay(pictured, monkeypatch):
    """As a kill in the middle leaves them, or a picture that came in while the rest was erased."""
    kept = files()
    left = default_storage.save("results/999/ab/left.jpg", ContentFile(b"left"))
    assert sweep_pictures() == 0  # its result may be being saved
    monkeypatch.setattr(leftovers, "LEFTOVER_AFTER", timedelta(0))
    assert sweep_pictures() == 1
    assert not default_storage.exists(left)
    assert not default_storage.exists("results/999")
    assert files() == kept
    ResultPhoto.objects.all().delete()
    assert sweep_pictures() == len(kept)


def test_a_picture_whose_file_went_first_is_missing_and_the_rest_is_given_out(client, pictured):
    photo = ResultPhoto.objects.get()
    for one in photo.files:
        default_storage.delete(one["name"])
    client.force_login(pictured.person)
    one = photo.files[0]
    where = reverse("result_photo", args=[photo.pk, one["width_px"], one["format"]])
    assert client.get(where).status_code == 404
    assert client.get(reverse("my_data_file")).status_code == 200


def test_a_photo_that_cannot_be_kept_keeps_its_words_and_says_so(client, place, designer):
    client.force_login(place.person)
    with read_only():
        answer = client.post(reverse("making_photo", args=[place.pk]), {"photo": picture(), "alt": "Front"})
    page = answer.content.decode()
    assert "The studio&#x27;s files can&#x27;t be reached just now: try again later." in page
    assert str(settings.MEDIA_ROOT) not in page
    assert 'value="Front"' in page
    assert not ResultPhoto.objects.exists()
    client.force_login(designer)
    where = reverse("photos", args=[place.call.pattern.slug])
    with read_only():
        answer = client.post(where, {"pictures": picture(), "alts": "Front", "caption": ""})
    assert f"The folder {settings.MEDIA_ROOT} is read-only" in answer.content.decode()
    assert not place.call.pattern.photos.exists()


def test_who_unsubscribes_while_nothing_can_be_written_has_left_for_good(
    client, call, django_capture_on_commit_callbacks
):
    wanted = [NewHolder("wren@larkmoss.example", call.pattern, call.version, None)]
    store_holders(holders=wanted, source="typed")
    holder = Holder.objects.get()
    with read_only(), django_capture_on_commit_callbacks(execute=True):
        assert client.post(reverse("unsubscribe", args=[holder_key(holder)])).status_code == 200
    assert Holder.objects.get().state == "left"
    assert keep_marks() == 1
    assert len(files()) == 1
