"""Publishing by tasks: progress, failing, trying again, taking back, more editions later; and verifying."""

import errno

import pytest
from django.urls import reverse
from django_tasks import TaskResultStatus
from django_tasks_db.models import DBTaskResult

from catalogue.editions.choices import home_choices
from catalogue.editions.ingredients import EditionFailed
from catalogue.editions.rendering import Rendered
from catalogue.editions.verification import faults
from catalogue.models import Edition, Version
from catalogue.publishing import publishing
from catalogue.publishing.publishing import make_editions_of, request_edition, take_up_publications
from catalogue.versions.records import read_record
from tests.builders import sample
from tests.catalogue.builders import make_pattern, make_version
from tests.sent_forms import send_form

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]


@pytest.fixture
def by_queue(settings):
    """Tasks wait in the queue, as they do beside a server."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}


def address(name, pattern, **parts):
    return reverse(name, kwargs={"slug": pattern.slug, **parts})


def send(client, pattern, kind="release", number="1.0", **data):
    typed = {"number": number, "note": "", "editions": [], **data}
    return send_form(client, address("publish", pattern, kind=kind), **typed)


def run_queue():
    """Do what the worker would do."""
    for task in DBTaskResult.objects.filter(status=TaskResultStatus.READY):
        make_editions_of.func(**task.args_kwargs["kwargs"])
        DBTaskResult.objects.filter(pk=task.pk).update(status=TaskResultStatus.SUCCESSFUL)


def failing(monkeypatch, says="The PDF could not be made: no ink."):
    def press(*, wanted, **_):
        for place in range(len(wanted)):
            yield Rendered(place, None, says)

    monkeypatch.setattr(publishing, "render_editions", press)


def page_of(client, pattern, number="1.0"):
    return client.get(address("version", pattern, number=number)).content.decode()


def test_publishing_waits_shows_progress_and_is_published_when_all_is_made(designer_client, by_queue):
    pattern = make_pattern()
    code = "right|in|US|all|screen|A4"
    answer = send(designer_client, pattern, editions=[code])
    assert answer["Location"] == address("version", pattern, number="1.0")
    version = Version.objects.get()
    assert version.state == "waiting"
    assert version.editions.count() == 2
    page = page_of(designer_client, pattern)
    assert "0 of 2 editions made" in page
    assert "hx-get" in page
    assert "Take this version back" in page
    progress = designer_client.get(address("version_progress", pattern, number="1.0"))
    assert "HX-Refresh" not in progress.headers
    run_queue()
    version.refresh_from_db()
    assert version.state == "published"
    assert set(version.editions.values_list("state", flat=True)) == {"made"}
    progress = designer_client.get(address("version_progress", pattern, number="1.0"))
    assert progress["HX-Refresh"] == "true"
    assert page_of(designer_client, pattern).count("/files/editions/") == 2


def test_an_edition_that_failed_is_made_when_it_is_asked_for_again(monkeypatch):
    version = make_version(make_pattern(), number="1.0")
    choices = {**home_choices(read_record(version.record)), "print": "large"}
    with monkeypatch.context() as patched:
        failing(patched)
        request_edition(version=version, choices=choices)
    large = version.editions.get(choices__print="large")
    assert (large.state, large.says) == ("failed", "The PDF could not be made: no ink.")
    request_edition(version=version, choices=choices)
    large.refresh_from_db()
    assert (large.state, large.says, bool(large.file)) == ("made", "", True)


def test_a_waiting_version_is_known_to_the_studio_alone(client, designer_client, by_queue):
    pattern = make_pattern()
    send(designer_client, pattern)
    assert pattern.title not in client.__class__().get(reverse("catalogue")).content.decode()
    assert client.__class__().get(address("pattern_page", pattern)).status_code == 404
    assert not list(faults())


def test_an_edition_that_fails_says_why_and_is_tried_again(designer_client, monkeypatch, by_queue):
    pattern = make_pattern()
    with monkeypatch.context() as patched:
        failing(patched)
        send(designer_client, pattern)
        run_queue()
    assert Version.objects.get().state == "failed"
    page = page_of(designer_client, pattern)
    assert "no ink" in page
    assert "Try again" in page
    designer_client.post(address("version_again", pattern, number="1.0"))
    assert Version.objects.get().state == "waiting"
    run_queue()
    assert Version.objects.get().state == "published"


def test_a_version_that_was_never_published_is_taken_back_and_its_number_is_free(designer_client, by_queue):
    pattern = make_pattern()
    send(designer_client, pattern)
    designer_client.post(address("version_withdraw", pattern, number="1.0"))
    assert not Version.objects.exists()
    run_queue()  # its task finds nothing to do
    send(designer_client, pattern)
    run_queue()
    answer = designer_client.post(address("version_withdraw", pattern, number="1.0"), follow=True)
    assert "It can’t be changed any more" in answer.content.decode()
    assert Version.objects.get().state == "published"


def test_a_version_whose_task_was_lost_is_taken_up_again(designer_client, by_queue, monkeypatch):
    monkeypatch.setattr(publishing, "TAKEN_UP_AFTER", -publishing.TAKEN_UP_AFTER)
    send(designer_client, make_pattern())
    assert take_up_publications() == 0  # its task is in the queue
    DBTaskResult.objects.all().delete()
    assert take_up_publications() == 1
    run_queue()
    assert Version.objects.get().state == "published"
    assert take_up_publications() == 0


def test_a_version_that_ended_every_worker_fails_at_last(designer_client, by_queue, monkeypatch):
    monkeypatch.setattr(publishing, "TAKEN_UP_AFTER", -publishing.TAKEN_UP_AFTER)
    send(designer_client, make_pattern())
    DBTaskResult.objects.update(status=TaskResultStatus.FAILED)
    take_up_publications()
    version = Version.objects.get()
    assert version.state == "failed"
    assert "The program that makes PDFs stopped every time" in version.editions.get().says


def test_what_is_made_already_costs_nothing(monkeypatch):
    version = make_version(
        editions=[{**home_choices({"pattern": sample("brackenmere_pullover")}), "paper": "Letter"}]
    )
    asked = []

    def press(*, wanted, **_):
        asked.extend(wanted)
        yield from (Rendered(place, None, "no") for place in range(len(wanted)))

    monkeypatch.setattr(publishing, "render_editions", press)
    version.editions.filter(code__endswith="Letter").update(state="waiting")
    make_editions_of.func(version=version.pk)
    assert [one["paper"] for one in asked] == ["Letter"]
    publishing.plan_editions(version=version, editions=[home_choices(read_record(version.record))])
    make_editions_of.func(version=version.pk)
    assert len(asked) == 1


def test_another_edition_is_made_later_from_the_same_record(designer_client, by_queue):
    pattern = make_pattern("thistledrift_waistcoat")
    make_version(pattern)
    form = address("edition_add", pattern, number="1.0")
    choices = {
        "units": "both",
        "terms": "UK",
        "sizes": "M",
        "print": "large",
        "paper": "Letter",
        "hand": "left",
    }
    assert "left-handed" in designer_client.get(form).content.decode()
    assert designer_client.post(form, {**choices, "sizes": "9X"}).status_code == 200
    assert designer_client.post(form, choices).status_code == 302
    assert Version.objects.get().state == "published"
    run_queue()
    edition = Edition.objects.get(code="left|both|UK|M|large|Letter")
    assert edition.state == "made"
    file = designer_client.get(reverse("edition_file", args=[edition.pk]))
    assert "left-m-large-letter" in file["Content-Disposition"].replace("LEFT", "left")
    file.close()


def test_work_that_is_turned_has_no_left_hand(designer_client):
    pattern = make_pattern()
    version = make_version(pattern)
    assert (
        "left-handed"
        not in designer_client.get(address("edition_add", pattern, number="1.0")).content.decode()
    )
    choices = {**home_choices(read_record(version.record)), "hand": "left"}
    with pytest.raises(EditionFailed, match="There is no edition with hand"):
        publishing.plan_editions(version=version, editions=[choices])


@pytest.mark.parametrize(
    ("code", "says"),
    [
        (errno.ENOSPC, "the disk of {folder} is full; make room there."),
        (errno.EROFS, "the folder {folder} is read-only; let it be written to."),
    ],
)
def test_a_full_or_read_only_disk_fails_the_version_and_a_retry_works(
    designer_client, monkeypatch, by_queue, settings, code, says
):
    import os

    pattern = make_pattern()
    with monkeypatch.context() as patched:

        def fail(*_, **__):
            raise OSError(code, os.strerror(code))

        patched.setattr("django.core.files.storage.FileSystemStorage._save", fail)
        send(designer_client, pattern)
        run_queue()
    said = says.format(folder=settings.MEDIA_ROOT)
    assert f"could not be stored: {said}" in page_of(designer_client, pattern)
    assert Version.objects.get().state == "failed"
    designer_client.post(address("version_again", pattern, number="1.0"))
    run_queue()
    assert Version.objects.get().state == "published"
    assert not list(faults())


def test_a_folder_that_is_no_folder_fails_the_version(designer_client, by_queue, settings):
    settings.MEDIA_ROOT.mkdir(parents=True, exist_ok=True)
    (settings.MEDIA_ROOT / "editions").write_text("in the way")
    send(designer_client, make_pattern())
    run_queue()
    assert Version.objects.get().state == "failed"
    assert "could not be stored" in Edition.objects.get().says
