import datetime as dt
import io
import json
import os
import re
import zipfile
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path

import pytest
from allauth.account.models import EmailAddress
from allauth.mfa.models import Authenticator
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.files.storage import default_storage
from django.core.mail import EmailMessage
from django.db import ProgrammingError, connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Person, SignIn, UnsweptErasure, Version, WordsDraft
from catalogue.photos.pictures import clean_picture
from catalogue.studio.chores import ChoreWaits
from catalogue.studio.freed_pages import sweep_unswept
from catalogue.studio.mail_folder import FolderBackend
from catalogue.studio.roles import give_role
from testing.asked.figures import call_figures
from testing.calls.calls import extend_call
from testing.calls.consent import consent_text, written_day
from testing.calls.schedule import default_schedule, months_after
from testing.models import Application, Placement, Remark, Result, ResultPhoto, SentMail, TestCall, TesterNote
from testing.privacy.belongings import ELSEWHERE, keys_to_people
from testing.privacy.erasing import erase_application, erase_overdue, erase_person
from testing.privacy.privacy import held_about
from testing.results.own_photos import add_photo
from testing.results.photo_pieces import keep_piece
from testing.results.results import add_remark, save_entry
from tests.present import present
from tests.sent_forms import send_form
from tests.testing.builders import make_application, make_call, make_pattern, make_place, make_studio
from tests.testing.results.test_making_pages import picture

SECRETS = (
    "Wren Alder",
    "wren@larkmoss.example",
    "Skeinbury wool of mine",
    "A private note",
    "My own remark",
    "961.37",
)


@pytest.fixture
def full_place(call):
    """A tester who has sent one of everything."""
    place = make_place(
        call, yarn="Skeinbury wool of mine", body_mm={"bust": 961.37}, typed_body={"bust": "96.1"}
    )
    for part, name, typed, meant in (
        ("gauge", "main", {"stitches": "20"}, {"stitches": 0.2, "rows": 0.28}),
        ("measured", "chest", {"length": "100"}, {"mm": 1000.0}),
        ("yarn", "A", {"weight": "300"}, {"g": 300.0}),
        ("hours", "", {"hours": "about 30"}, {"hours": 30.0}),
        ("hours", "", {"hours": "40"}, {"hours": 40.0}),
        ("note", "", {"text": "A private note"}, {}),
    ):
        save_entry(placement=place, part=part, name=name, typed=typed, meant=meant)
    add_remark(placement=place, place="sections[0].steps[0]", text="My own remark")
    add_photo(placement=place, photo=clean_picture(picture()), alt="Wren Alder in the vest")
    return place


def everything_stored():
    """All rows of the project's own tables as one text."""
    models = [
        model
        for app in ("testing", "catalogue", "grading")
        for model in apps.get_app_config(app).get_models()
    ]
    return json.dumps([list(model._default_manager.values()) for model in models], default=str)


def test_what_is_held_is_shown_and_given_out_with_photos(client, full_place):
    client.force_login(full_place.person)
    mail = SentMail.objects.create(application=full_place.application, kind="offer", occasion="1")
    page = client.get(reverse("my_data")).content.decode()
    assert "96.1" in page
    at = timezone.localtime(mail.queued_at)
    assert f"<dt>E-mail, {at.day} {at:%B %Y}</dt><dd>A place is offered</dd>" in page
    assert page.count(f'href="{reverse("my_account")}') == 2, "in the menu, and where sign-ins are told"
    last = full_place.call.erase_on
    assert f"{last.day} {last:%B %Y} at the latest" in page
    assert last.isoformat() not in page
    typed = full_place.application.typed_body["bust"]
    label = next(one.label for one in call_figures(full_place.call).body if one.name == "bust")
    assert f"<dt>{label}</dt><dd>{typed} cm</dd>" in page
    assert "Body: " not in page
    assert re.search(r"\b1 photo\.", page)
    assert reverse("making_photo_uses", args=[full_place.pk]) in page, "where permissions are withdrawn"
    told = " ".join(re.sub(r"<[^>]*>", " ", page).split())
    sent = (
        "Skeinbury wool of mine",
        "Yarn used: A: 300 g",
        "Hours: 40",
        "Note: A private note",
        "My own remark",
    )
    assert [words for words in sent if words not in told] == []
    assert "12 months after the end of the test on" in page
    answer = client.get(reverse("my_data_file"))
    archive = zipfile.ZipFile(io.BytesIO(answer.content))
    held = json.loads(archive.read("data.json"))
    photo = ResultPhoto.objects.get()
    assert archive.read(f"photos/{photo.pk}.jpg").startswith(b"\xff\xd8")
    text = json.dumps(held)
    assert all(secret in text for secret in SECRETS)
    assert {entry["part"] for entry in held["results"][0]["entries"]} == {
        "gauge",
        "measured",
        "yarn",
        "hours",
        "note",
    }


def test_pages_of_what_is_held_ask_no_more_for_more_of_it(client, full_place):
    client.force_login(full_place.person)
    names = ("my_data", "my_data_erase", "my_data_file")

    def asked(name):
        client.get(reverse(name))  # numbers of versions are worked out once
        with CaptureQueriesContext(connection) as queries:
            client.get(reverse(name))
        return len(queries)

    before = [asked(name) for name in names]
    for number in range(3):
        another = make_place(make_call(pattern=make_pattern(title=f"Vest {number}")))
        assert another.person == full_place.person
        save_entry(placement=another, part="note", name="", typed={"text": "Again"}, meant={})
    assert [asked(name) for name in names] == before


def test_what_is_held_is_given_out_though_a_picture_is_lost(client, full_place):
    add_photo(placement=full_place, photo=clean_picture(picture(colour="navy")), alt="The back")
    lost, kept = ResultPhoto.objects.order_by("pk")
    for one in lost.files:
        default_storage.delete(one["name"])
    client.force_login(full_place.person)
    answer = client.get(reverse("my_data_file"))
    assert answer.status_code == 200
    archive = zipfile.ZipFile(io.BytesIO(answer.content))
    assert archive.namelist() == [f"photos/{kept.pk}.jpg", "data.json"]
    held = json.loads(archive.read("data.json"))
    assert held["pictures_that_are_lost"] == [f"photos/{lost.pk}.jpg"]
    assert held["results"][0]["remarks"][0]["text"] == "My own remark"


def test_nobody_elses_data_is_in_it(call, full_place):
    other = make_place(call, name="Moss Reed", email="moss@larkmoss.example")
    assert "Wren" not in json.dumps(held_about(present(other.person)))


def tables_about(*roots):
    """Every table from which a chain of keys leads to one of these, with the key that leads there."""
    found, open_ends = {}, list(roots)
    while open_ends:
        target = open_ends.pop()
        for model in apps.get_models(include_auto_created=True):
            for field in model._meta.concrete_fields:
                if field.is_relation and field.related_model is target and model not in found:
                    found[model] = field
                    open_ends.append(model)
    return found


def test_every_table_that_refers_to_a_person_is_given_out(full_place):
    """Walks the model graph: a table with a key to a person or their place must be in the export."""
    person = full_place.person
    TesterNote.objects.create(person=person, text="Sews well")
    SignIn.objects.create(person=person, browser="Firefox on Linux")
    EmailAddress.objects.create(user=person, email=person.email)
    Authenticator.objects.create(user=person, type="totp", data={"secret": "never given out"})
    draft = {"pattern": full_place.call.pattern, "place": "1/1", "revision": 1, "text": "Half a sentence"}
    WordsDraft.objects.create(by=person, **draft)
    give_role(person=person, role="editor")
    keep_piece(placement=full_place, key="half-sent", at=0, content=b"half")
    text = json.dumps(held_about(person), default=str)
    where = {
        "testing.Placement": '"place": {"size": "M"',
        "testing.TesterNote": "Sews well",
        "testing.Application": "Skeinbury wool of mine",
        "testing.SentMail": '"emails": [{"kind": "offer"',
        "testing.Result": '"results": [{"pattern"',
        "testing.Entry": "A private note",
        "testing.EarlierEntry": "about 30",
        "testing.ResultPhoto": "Wren Alder in the vest",
        "testing.PhotoPiece": "half-sent",
        "testing.Remark": "My own remark",
        "catalogue.Person_groups": '"roles": ["editor"]',
        "account.EmailAddress": '"addresses": ["wren@larkmoss.example"]',
        "mfa.Authenticator": '"signs_in_with": ["TOTP Authenticator"]',
        "catalogue.WordsDraft": "Half a sentence",
        "catalogue.SignIn": "Firefox on Linux",
    }
    assert not [table for table, said in where.items() if said not in text]
    assert "never given out" not in text
    direct = {model for model, _ in keys_to_people()}
    assert {model.__name__ for model in direct if model._meta.label not in where} & ELSEWHERE == set()
    assert direct == {model for model, field in tables_about(Person).items() if field.related_model is Person}
    own = {model._meta.label for model in tables_about(Application, Placement)}
    # An answer to how an entry is read holds no word of the tester's.
    assert own - set(where) <= {"testing.Reading"}


def test_what_somebody_made_in_the_studio_is_named(full_place):
    Version.objects.update(by=full_place.person)
    held = held_about(full_place.person)["elsewhere"]
    assert [row["what"] for row in held["catalogue.Version"]] == [str(Version.objects.get())]
    assert "record" not in held["catalogue.Version"][0]


def test_no_trace_is_left_in_database_files_mails_and_tasks(
    call, settings, client, django_capture_on_commit_callbacks
):
    """Searches every table of the database, every file and every mail for what the person wrote."""
    settings.TASKS = {"default": {"BACKEND": "django_tasks_db.DatabaseBackend"}}
    place = make_place(call, yarn="Skeinbury wool of mine", typed_body={"bust": "96.1"})
    add_photo(placement=place, photo=clean_picture(picture()), alt="Wren Alder in the vest")
    TesterNote.objects.create(person=present(place.person), text="Wren Alder sews well")
    mails = FolderBackend()
    for to in ("wren@larkmoss.example", "Wren Alder <WREN@larkmoss.example>", "moss@larkmoss.example"):
        mails.send_messages([EmailMessage("Hello", "Text", "studio@larkmoss.example", [to])])
    client.force_login(place.person)
    other = Client()
    other.post(reverse("account_request_login_code"), {"email": "wren@larkmoss.example"})
    assert found_traces(settings)
    with django_capture_on_commit_callbacks(execute=True):
        erase_person(person=present(place.person))
    assert found_traces(settings) == []
    assert len(list(Path(settings.MAIL_DIR).glob("*.eml"))) == 1


def written_bytes():
    """What stands in the files of the database; of PostgreSQL those of its tables, where they can be read."""
    if connection.vendor == "sqlite":
        database = Path(str(connection.settings_dict["NAME"]))
        return b"".join(path.read_bytes() for path in database.parent.glob(f"{database.name}*"))
    try:
        with connection.cursor() as cursor:
            cursor.execute("CHECKPOINT")
            cursor.execute(
                "SELECT current_setting('data_directory'), oid "
                "FROM pg_database WHERE datname = current_database()"
            )
            data, oid = cursor.fetchone()
    except ProgrammingError:  # not for this role
        return None
    folder = Path(data) / "base" / str(oid)
    if not os.access(folder, os.R_OK):
        return None
    return b"".join(path.read_bytes() for path in folder.iterdir() if path.is_file())


@contextmanager
def busy_elsewhere():
    """Somebody who writes for long in another database of the same server; nobody where it is one file."""
    if connection.vendor == "sqlite":
        yield
        return
    other = connection.copy()
    other.settings_dict["NAME"] = "postgres"
    with other.cursor() as cursor:
        cursor.execute("BEGIN")
        cursor.execute("SELECT pg_current_xact_id()")
        yield
        cursor.execute("ROLLBACK")
    other.close()


def test_nothing_is_left_in_the_bytes_of_the_database_either(shared_database):
    """A deleted row stays in freed pages, SQLite's log and PostgreSQL's statistics unless all are swept."""
    make_studio()
    place = make_place(make_call(), yarn="Skeinbury wool of mine")
    secrets = (b"Skeinbury wool of mine", b"wren@larkmoss.example")
    with connection.cursor() as cursor:
        cursor.execute("ANALYZE")
    before = written_bytes()
    with busy_elsewhere(), CaptureQueriesContext(connection) as asked:
        erase_person(person=present(place.person))
    if before is None:  # a server elsewhere, or of another user: what it was asked to do
        assert any(
            "VACUUM (FULL" in query["sql"] and "testing_application" in query["sql"] for query in asked
        )
        return
    assert all(secret in before for secret in secrets)
    after = written_bytes()
    assert [secret for secret in secrets if secret in after] == []
    assert not UnsweptErasure.objects.exists()


def test_what_cannot_be_swept_while_somebody_reads_is_swept_later_and_told(shared_database):
    if connection.vendor != "postgresql":
        pytest.skip("SQLite's log is emptied in every round, whoever reads")
    make_studio()
    application = make_application(make_call())
    reader = connection.copy()
    with reader.cursor() as cursor:
        cursor.execute("BEGIN")
        cursor.execute("SELECT count(*) FROM testing_application")
        erase_application(application=application)
        assert UnsweptErasure.objects.count() == 1
        with pytest.raises(ChoreWaits, match="while somebody reads them"):
            sweep_unswept()
        cursor.execute("ROLLBACK")
    reader.close()
    sweep_unswept()
    assert not UnsweptErasure.objects.exists()


def found_traces(settings):
    """Where the person's name or address still stands: tables as they are stored, sessions read, files."""
    traces = []
    with connection.cursor() as cursor:
        for table in connection.introspection.table_names(cursor):
            cursor.execute(f"SELECT * FROM {connection.ops.quote_name(table)}")
            text = str(cursor.fetchall()).lower()
            traces += [table] if re.search(r"wren|skeinbury wool of mine", text) else []
    for session in Session.objects.all():
        if re.search(r"wren", str(session.get_decoded()).lower()):
            traces.append("session")
    for folder in (settings.MEDIA_ROOT, settings.MAIL_DIR):
        for path in Path(folder).rglob("*"):
            if path.is_file() and (b"wren" in path.read_bytes().lower() or path.suffix in (".jpg", ".webp")):
                traces.append(path.name)
    return traces


def test_erasing_leaves_figures_of_the_garment_and_nothing_of_the_person(
    client, full_place, django_capture_on_commit_callbacks
):
    client.force_login(full_place.person)
    names = [one["name"] for one in ResultPhoto.objects.get().files]
    assert "Erase everything about you?" in client.get(reverse("my_data_erase")).content.decode()
    with django_capture_on_commit_callbacks(execute=True):
        answer = client.post(reverse("my_data_erase"))
    assert "Everything about you is erased" in answer.content.decode()
    assert "_auth_user_id" not in client.session
    stored = everything_stored()
    assert not [secret for secret in SECRETS if secret in stored]
    assert not [name for name in names if default_storage.exists(name)]
    result = Result.objects.get()
    assert (result.placement, result.size) == (None, "M")
    assert set(result.entries.values_list("part", flat=True)) == {"gauge", "measured", "yarn", "hours"}


def test_an_application_without_a_place_goes_with_the_account(call, full_place):
    make_application(call, name="Moss Reed", email="moss@larkmoss.example")
    erase_person(person=full_place.person)
    assert list(Application.objects.values_list("name", flat=True)) == ["Moss Reed"]


def test_a_member_of_the_studio_keeps_the_account(editor):
    erase_person(person=editor)
    assert Person.objects.filter(pk=editor.pk).exists()


def test_data_is_erased_on_the_day_that_was_stated(full_place, monkeypatch):
    call = full_place.call
    assert call.erase_on == months_after(call.finish_by, 12)
    monkeypatch.setattr("testing.privacy.erasing.studio_day", lambda: call.erase_on - dt.timedelta(days=1))
    assert erase_overdue() == 0
    assert Remark.objects.count() == 1
    monkeypatch.setattr("testing.privacy.erasing.studio_day", lambda: call.erase_on)
    assert erase_overdue() == 1
    stored = everything_stored()
    assert not [secret for secret in SECRETS if secret in stored]
    assert not Person.objects.exists()
    assert TestCall.objects.count() == 1


def test_other_dates_of_the_call_leave_the_day_that_was_stated(as_designer, full_place):
    call, stated = full_place.call, full_place.call.erase_on
    address = reverse("call_extend", args=[call.pattern.slug, call.pk])
    send_form(as_designer, address, finish_by=call.finish_by + dt.timedelta(days=60))
    moved = TestCall.objects.get()
    assert (moved.finish_by, moved.erase_on) == (call.finish_by + dt.timedelta(days=60), stated)
    assert "months after" not in consent_text(moved, "Larkmoss Studio")
    assert written_day(stated) in consent_text(moved, "Larkmoss Studio")
    page = send_form(as_designer, address, finish_by=stated).content.decode()
    assert f"Applicants were told that their data is erased on {written_day(stated)}" in page
    assert TestCall.objects.get().finish_by == moved.finish_by


def test_a_draft_that_nobody_was_told_of_moves_the_day_with_its_dates(studio):
    call = make_call(opened=False)
    later = replace(default_schedule(timezone.localdate()), finish_by=call.finish_by + dt.timedelta(days=10))
    extend_call(call=call, schedule=later)
    assert TestCall.objects.get().erase_on == months_after(later.finish_by, 12)


@pytest.mark.parametrize("name", ["my_data", "my_data_file", "my_making"])
def test_nobody_is_asked_to_sign_in(client, studio, name):
    assert client.get(reverse(name)).status_code == 302


def test_bad_units_change_nothing(as_tester, place):
    assert as_tester.post(reverse("my_units"), {"units": "ell"}).status_code == 302
    place.person.refresh_from_db()
    assert place.person.units == "cm"
