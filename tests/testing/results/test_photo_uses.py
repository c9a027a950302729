"""A tester's photo is used for what its maker agrees to, and only while they do."""

import datetime as dt
import re

import pytest
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from django.utils.html import strip_tags

from testing.models import Entry, ResultPhoto
from testing.privacy.erasing import erase_person
from testing.privacy.privacy import held_about
from tests.testing.builders import days_from_now, make_version
from tests.testing.results.test_making_pages import picture

AGREED = {"page": "on", "press": "on", "age": "adult", "credit": "Wren of the hills"}


@pytest.fixture
def photo(as_tester, place):
    as_tester.post(reverse("making_photo", args=[place.pk]), {"photo": picture(), "alt": "The front"})
    return ResultPhoto.objects.get()


@pytest.fixture
def agree(as_tester, place, photo):
    """What the tester says now."""
    return lambda **said: as_tester.post(reverse("making_photo_uses", args=[place.pk]), said)


def public(photo, **changes):
    file = {**photo.files[0], **changes}
    return fetched(Client(), reverse("shared_photo", args=[photo.pk, file["width_px"], file["format"]]))


def fetched(client, address):
    """The answer, with its file read and closed."""
    answer = client.get(address)
    answer.body = b"".join(answer.streaming_content) if answer.streaming else b""
    answer.close()
    return answer


def for_use(call, photo, use):
    return reverse("call_photo_file", args=[call.pattern.slug, call.pk, photo.pk, use])


def test_nobody_sees_a_photo_without_its_makers_consent(photo, agree):
    assert public(photo).status_code == 404
    agree(press="on", age="adult")
    assert public(photo).status_code == 404


def test_with_consent_it_is_public_and_gone_once_that_is_taken_back(photo, agree):
    agree(**AGREED)
    answer = public(photo)
    assert answer.status_code == 200
    assert answer["Cache-Control"] == "no-store"
    assert answer.body
    assert public(photo, width_px=7).status_code == 404
    agree(press="on", age="adult")
    assert public(photo).status_code == 404
    agree()
    assert not Entry.objects.filter(part="photo_use").exists()


def test_the_patterns_page_shows_what_is_agreed_to_and_nothing_else(photo, agree, place):
    make_version(place.call.pattern, number="1.0", kind="release")
    page = reverse("pattern_page", args=[place.call.pattern.slug])
    agree(press="on", age="adult")
    assert "Made by testers" not in Client().get(page).content.decode()
    agree(**AGREED)
    shown = Client().get(page).content.decode().split("Made by testers")[1]
    assert f"/testers/photos/{photo.pk}/" in shown
    assert 'alt="The front"' in shown
    assert "<figcaption>Wren of the hills</figcaption>" in shown
    agree()
    assert "Made by testers" not in Client().get(page).content.decode()


def test_a_consent_ends_on_its_last_day(photo, agree, monkeypatch):
    last = days_from_now(3)
    agree(**AGREED, until=last.isoformat())
    assert public(photo).status_code == 200
    later = dt.datetime.combine(last, dt.time(12), tzinfo=dt.UTC)
    monkeypatch.setattr(timezone, "localdate", lambda *_: later.date())
    assert public(photo).status_code == 200
    monkeypatch.setattr(timezone, "localdate", lambda *_: later.date() + dt.timedelta(days=1))
    assert public(photo).status_code == 404


def test_under_18_a_guardian_agrees(photo, agree):
    page = agree(page="on", age="minor")
    assert "a guardian must agree" in page.content.decode()
    agree(page="on", age="minor", guardian="Alder Moor")
    assert Entry.objects.get(part="photo_use").typed["guardian"] == "Alder Moor"
    assert public(photo).status_code == 200


def test_the_consent_is_recorded_in_words(photo, agree):
    agree(**AGREED, until="2099-06-03")
    words = Entry.objects.get(part="photo_use", name="press").meant["consent"]
    assert "for the press, until 3 June 2099" in words
    assert "a PDF that is already published keeps its pictures" in words


def test_the_record_of_consents_has_each_use(photo, agree, call, client, designer):
    agree(**AGREED)
    client.force_login(designer)
    page = client.get(reverse("call_consents", args=[call.pattern.slug, call.pk])).content.decode()
    assert page.count(">Use of photos</td>") == 2
    folds = re.findall(r"<summary>(.*?)</summary>", page, re.DOTALL)
    told = [" ".join(strip_tags(one).split()) for one in folds]
    assert told.count("Read the words shown to Wren Alder, Use of photos") == 2
    assert "for the press, until I take it back" in page


def test_the_studio_downloads_for_the_uses_agreed_to(photo, agree, call, client, designer):
    agree(**AGREED)
    client.force_login(designer)
    page = client.get(reverse("call_photos", args=[call.pattern.slug, call.pk])).content.decode()
    assert "Name beside it: Wren of the hills" in page
    assert for_use(call, photo, "press") in page
    assert for_use(call, photo, "social") not in page
    answer = fetched(client, for_use(call, photo, "press"))
    assert answer["Content-Type"] == "image/jpeg"
    assert "attachment" in answer["Content-Disposition"]
    assert client.get(for_use(call, photo, "social")).status_code == 404
    assert client.get(for_use(call, photo, "anything")).status_code == 404


def test_a_tester_has_no_page_of_everybodys_photos(photo, agree, call, as_tester):
    agree(**AGREED)
    assert as_tester.get(reverse("call_photos", args=[call.pattern.slug, call.pk])).status_code == 404
    assert as_tester.get(for_use(call, photo, "press")).status_code == 404


def test_the_page_of_photos_needs_no_more_queries_for_more_photos(
    photo, agree, call, client, designer, place, django_assert_max_num_queries
):
    agree(**AGREED)
    for number in range(3):
        ResultPhoto.objects.create(
            result=photo.result,
            alt=f"{number}",
            width_px=6,
            height_px=4,
            digest=f"{number}",
            files=photo.files,
        )
    client.force_login(designer)
    with django_assert_max_num_queries(14):
        client.get(reverse("call_photos", args=[call.pattern.slug, call.pk]))


def test_the_consent_is_given_out_and_erased(photo, agree, place):
    agree(**AGREED)
    told = held_about(place.person)["results"][0]["entries"]
    assert {"photo_use"} == {one["part"] for one in told}
    assert told[0]["as_typed"]["credit"] == "Wren of the hills"
    erase_person(person=place.person)
    assert not Entry.objects.exists()
    assert public(photo).status_code == 404
