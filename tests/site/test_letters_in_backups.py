"""Letters that wait are in a backup, and go out once after it was put back."""

import datetime as dt
from typing import Any

import pytest
from django.core import mail
from django.utils import timezone

from catalogue.models import Letter, Notice
from catalogue.site.backups import write_backup
from catalogue.site.restoring import restore_backup
from catalogue.studio.letters import STALE, send_letters, sweep_letters
from catalogue.studio.mailing import post_mail
from testing.mails.mails import post_once
from testing.privacy.erasing import erase_application
from tests.site.test_backups import wipe
from tests.testing.builders import make_application, make_call, make_pattern, make_studio, make_version

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def data(settings, tmp_path):
    settings.DATA_DIR = tmp_path / "data"
    settings.DATA_DIR.mkdir()
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    make_studio()


@pytest.fixture
def backup(tmp_path):
    """Where a backup goes that was made while two letters waited and one had gone."""
    post_mail(to="gone@larkmoss.example", subject="Gone", text="Words that went")
    send_letters.call()
    mail.outbox.clear()
    for name in ("ida", "olive"):
        post_mail(to=f"{name}@larkmoss.example", subject="Hello", text="Text", html="<p>Text</p>")
    return tmp_path / "studio.zip"


def sent():
    return sorted(letter.to[0] for letter in mail.outbox)


def test_letters_that_waited_go_out_once_on_another_machine(backup):
    write_backup(backup)
    assert b"Words that went" not in backup.read_bytes()
    wipe()
    restore_backup(backup, replace=False)
    sweep_letters()
    send_letters.call()
    send_letters.call()
    assert sent() == ["ida@larkmoss.example", "olive@larkmoss.example"]
    letter: Any = mail.outbox[0]
    assert [part[0] for part in letter.alternatives] == ["<p>Text</p>"]


def test_a_letter_that_went_after_the_backup_goes_no_second_time_where_that_is_known(backup):
    write_backup(backup)
    send_letters.call()
    assert len(sent()) == 2
    restore_backup(backup, replace=True)
    send_letters.call()
    assert len(sent()) == 2
    assert set(Letter.objects.values_list("state", "to", "text")) == {("sent", "", "")}


def test_letters_to_somebody_who_was_erased_since_do_not_come_back(
    backup, django_capture_on_commit_callbacks
):
    application = make_application(make_call())
    post_once(application=application, kind="late", occasion="x", values={"date": "today"})
    write_backup(backup)
    with django_capture_on_commit_callbacks(execute=True):
        erase_application(application=application)
    restore_backup(backup, replace=True)
    send_letters.call()
    assert sent() == ["ida@larkmoss.example", "olive@larkmoss.example"]


def test_what_is_stale_in_an_old_backup_is_looked_at_by_somebody_first(backup):
    Letter.objects.filter(to="ida@larkmoss.example").update(
        posted_at=timezone.now() - STALE - dt.timedelta(hours=1)
    )
    write_backup(backup)
    wipe()
    restore_backup(backup, replace=False)
    send_letters.call()
    assert sent() == ["olive@larkmoss.example"]
    stale = Letter.objects.get(to="ida@larkmoss.example")
    assert stale.state == "failed"
    assert "when a backup was restored" in stale.says


def test_a_notice_that_was_being_sent_is_held_until_somebody_says_so(backup):
    notice = Notice.objects.create(version=make_version(make_pattern()), state="sending")
    write_backup(backup)
    wipe()
    restore_backup(backup, replace=False)
    notice.refresh_from_db()
    assert notice.state == "stopped"
    assert "would get it twice" in notice.says
