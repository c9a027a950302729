import datetime as dt
import io
import json
import zipfile

import pytest
from django.apps import apps
from django.core.files.storage import default_storage
from django.urls import reverse

from catalogue.models import Person
from catalogue.photos import clean_photo
from testing.consent import erase_on
from testing.models import Application, Placement, Remark, Result, ResultPhoto, TestCall
from testing.privacy import erase_overdue, erase_person, held_about
from testing.results import add_photo, add_remark, save_entry
from tests.testing.builders import make_application, make_place
from tests.testing.test_making_pages import picture

SECRETS = (
    "Wren Alder",
    "wren@larkmoss.example",
    "Burnside wool of mine",
    "A private note",
    "My own remark",
    "961",
)


@pytest.fixture
def full_place(call):
    """A tester who has sent one of everything."""
    place = make_place(
        call, yarn="Burnside wool of mine", body_mm={"bust": 961.37}, typed_body={"bust": "96.1"}
    )
    for part, name, typed, meant in (
        ("gauge", "main", {"stitches": "20"}, {"stitches": 0.2, "rows": 0.28}),
        ("measured", "chest", {"length": "100"}, {"mm": 1000.0}),
        ("yarn", "A", {"weight": "300"}, {"g": 300.0}),
        ("hours", "", {"hours": "40"}, {"hours": 40.0}),
        ("note", "", {"text": "A private note"}, {}),
    ):
        save_entry(placement=place, part=part, name=name, typed=typed, meant=meant)
    add_remark(placement=place, place="sections[0].steps[0]", text="My own remark")
    add_photo(placement=place, photo=clean_photo(picture()), alt="Wren Alder in the vest")
    return place


def everything_stored():
    """All rows of the project's own tables as one text."""
    models = [
        model
        for app in ("testing", "catalogue", "grading")
        for model in apps.get_app_config(app).get_models()
    ]
    return json.dumps([list(model.objects.values()) for model in models], default=str)


def test_what_is_held_is_shown_and_given_out_with_photos(client, full_place):
    client.force_login(full_place.person)
    page = client.get(reverse("my_data")).content.decode()
    assert "96.1" in page
    assert "12 months after the end of the test" in page
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


def test_nobody_elses_data_is_in_it(call, full_place):
    other = make_place(call, name="Moss Reed", email="moss@larkmoss.example")
    assert "Wren" not in json.dumps(held_about(other.person))


def test_every_table_that_refers_to_a_person_is_given_out(full_place):
    """A new table with a key to a person, an application, a place or a result must be thought of here."""
    personal = {Person, Application, Placement, Result}
    pointing = {
        model.__name__
        for model in apps.get_app_config("testing").get_models()
        if model not in personal
        and any(
            field.is_relation and field.related_model in personal and not field.auto_created
            for field in model._meta.get_fields()
        )
    }
    assert pointing == {"Entry", "ResultPhoto", "Remark"}


def test_erasing_leaves_figures_of_the_garment_and_nothing_of_the_person(
    client, full_place, django_capture_on_commit_callbacks
):
    client.force_login(full_place.person)
    names = [one["name"] for one in ResultPhoto.objects.get().files]
    assert client.get(reverse("my_data_erase")).status_code == 405
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
    assert erase_on(call).year in (call.finish_by.year, call.finish_by.year + 1)
    monkeypatch.setattr("testing.privacy.timezone.localdate", lambda: erase_on(call) - dt.timedelta(days=1))
    assert erase_overdue() == 0
    assert Remark.objects.count() == 1
    monkeypatch.setattr("testing.privacy.timezone.localdate", lambda: erase_on(call))
    assert erase_overdue() == 1
    stored = everything_stored()
    assert not [secret for secret in SECRETS if secret in stored]
    assert not Person.objects.exists()
    assert TestCall.objects.count() == 1


@pytest.mark.parametrize("name", ["my_data", "my_data_file", "my_making"])
def test_nobody_is_asked_to_sign_in(client, studio, name):
    assert client.get(reverse(name)).status_code == 302


def test_bad_units_change_nothing(as_tester, place):
    assert as_tester.post(reverse("my_units"), {"units": "ell"}).status_code == 302
    place.person.refresh_from_db()
    assert place.person.units == "cm"
