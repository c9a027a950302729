"""Photos and remarks of a maker: sent in pieces that resume, replaced, changed, deleted."""

import datetime as dt
import io

import pytest
from django.core.files.storage import default_storage
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Erratum
from catalogue.photos import intake
from catalogue.photos.pictures import CleanFile, CleanPhoto, clean_picture
from testing.models import PhotoPiece, Remark, ResultPhoto
from testing.results import own_photo_views, photo_pieces
from testing.results.own_photos import add_photo
from testing.results.photo_pieces import keep_piece, sweep_pieces
from testing.results.results import add_remark
from tests.catalogue.pictures import jpeg
from tests.sent_forms import send_form
from tests.testing.builders import make_place

KEY = "1764380000-abc"


def photo_of(letter):
    return CleanPhoto(4, 3, letter * 64, (CleanFile("jpg", 4, 3, b"\xff\xd8\xff\xd9"),))


def address(name, place, *more):
    return reverse(name, args=[place.pk, *more])


def send_piece(client, place, at, content, key=KEY):
    where = address("making_photo_pieces", place, key)
    return client.post(f"{where}?at={at}", content, content_type="application/octet-stream")


@pytest.fixture(autouse=True)
def in_process(monkeypatch):
    """The process with limits has tests of its own."""
    monkeypatch.setattr(own_photo_views, "clean_photo", clean_picture)
    assert intake.clean_photo is not clean_picture


def test_a_photo_in_pieces_goes_on_where_it_stood_and_is_kept_whole(as_tester, place):
    content = jpeg()
    half = len(content) // 2
    pieces = address("making_photo_pieces", place, KEY)
    assert as_tester.get(pieces).json() == {"have": 0}
    assert send_piece(as_tester, place, 0, content[:half]).json() == {"have": half}
    assert as_tester.get(pieces).json() == {"have": half}
    assert send_piece(as_tester, place, 0, content[:half]).json() == {"have": half}, "sent twice"
    assert send_piece(as_tester, place, half + 1, content[half:]).json() == {"have": half}, "a gap"
    assert send_piece(as_tester, place, half, content[half:]).json() == {"have": len(content)}
    answer = as_tester.post(address("making_photo", place), {"kept": KEY, "alt": "The front"})
    assert answer.url == address("making", place)
    assert ResultPhoto.objects.get().alt == "The front"
    assert not PhotoPiece.objects.exists()


def test_a_photo_whose_receipt_was_lost_is_kept_once(as_tester, place):
    send_piece(as_tester, place, 0, jpeg())
    for _ in range(2):
        answer = as_tester.post(address("making_photo", place), {"kept": KEY, "alt": "The front"})
        assert answer.status_code == 302
    assert ResultPhoto.objects.count() == 1


def test_a_photo_cut_off_is_no_picture_and_says_so(as_tester, place):
    send_piece(as_tester, place, 0, jpeg()[:200])
    page = as_tester.post(address("making_photo", place), {"kept": KEY, "alt": "The front"})
    assert page.status_code == 200
    assert "invalid-feedback" in page.content.decode()
    page = as_tester.post(address("making_photo", place), {"alt": "The front"}).content.decode()
    assert "Choose a picture." in page


def test_what_is_too_heavy_is_refused_before_all_of_it_was_sent(as_tester, place, monkeypatch):
    monkeypatch.setattr(photo_pieces, "MOST_BYTES", 1024**2)
    piece = b"x" * photo_pieces.MOST_PIECE_BYTES
    for number in range(4):
        assert send_piece(as_tester, place, number * len(piece), piece).status_code == 200
    answer = send_piece(as_tester, place, 4 * len(piece), b"x")
    assert (answer.status_code, answer.content) == (
        413,
        b"The file is larger than 1 MB: save the picture smaller and send it again.",
    )
    assert not PhotoPiece.objects.exists()


@pytest.mark.parametrize("at", ["", "-1", "x", "9" * 30, "1.5"])
def test_a_piece_from_nowhere_changes_nothing(as_tester, place, at):
    assert send_piece(as_tester, place, at, b"x").json() == {"have": 0}


def test_what_is_no_piece_is_refused_in_peace(place):
    browser = Client(enforce_csrf_checks=True)
    browser.force_login(place.person)
    where = address("making_photo_pieces", place, KEY)
    browser.get(address("making_photo", place))
    token = browser.cookies["csrftoken"].value
    answer = browser.post(f"{where}?at=0", {"csrfmiddlewaretoken": token, "photo": "x"})
    assert answer.json() == {"have": 0}
    assert browser.get(address("making_photo_pieces", place, "x" * 41)).status_code == 404


def test_pieces_of_another_maker_are_not_found(as_tester, place):
    other = make_place(place.call, email="moss@larkmoss.example")
    assert send_piece(as_tester, other, 0, b"x").status_code == 404
    assert not PhotoPiece.objects.exists()


def test_pieces_that_nobody_sends_on_are_swept(place):
    keep_piece(placement=place, key="old", at=0, content=b"x")
    PhotoPiece.objects.update(sent_at=timezone.now() - dt.timedelta(days=8))
    keep_piece(placement=place, key="new", at=0, content=b"x")
    assert sweep_pieces() == 1
    assert PhotoPiece.objects.get().key == "new"


def test_a_photo_gets_other_words_or_another_picture(as_tester, place, django_capture_on_commit_callbacks):
    old = add_photo(placement=place, photo=photo_of("a"), alt="The front")
    where = address("making_photo_change", place, old.pk)
    assert where in as_tester.get(address("making", place)).content.decode()
    send_form(as_tester, where, alt="The back")
    assert (ResultPhoto.objects.get().alt, ResultPhoto.objects.get().digest) == ("The back", "a" * 64)
    with django_capture_on_commit_callbacks(execute=True):
        send_form(as_tester, where, photo=SimpleUploadedFile("back.jpg", jpeg()))
    new = ResultPhoto.objects.get()
    assert (new.pk, new.alt) == (old.pk, "The back")
    assert new.digest != "a" * 64
    assert not default_storage.exists(old.files[0]["name"])
    assert default_storage.exists(new.files[0]["name"])


def test_the_same_picture_stands_once_in_a_garment(as_tester, place):
    add_photo(placement=place, photo=clean_picture(io.BytesIO(jpeg())), alt="The front")
    other = add_photo(placement=place, photo=photo_of("b"), alt="The back")
    where = address("making_photo_change", place, other.pk)
    page = send_form(as_tester, where, photo=SimpleUploadedFile("front.jpg", jpeg())).content.decode()
    assert "You have sent this picture already." in page


def test_a_photo_is_deleted_with_its_files(as_tester, place, django_capture_on_commit_callbacks):
    photo = add_photo(placement=place, photo=photo_of("a"), alt="The front")
    page = as_tester.get(address("making_photo_change", place, photo.pk)).content.decode()
    assert "This can’t be undone" in page
    with django_capture_on_commit_callbacks(execute=True):
        as_tester.post(address("making_photo_delete", place, photo.pk))
    assert not ResultPhoto.objects.exists()
    assert not default_storage.exists(photo.files[0]["name"])


def test_ones_own_remarks_name_their_step_and_can_be_changed_and_deleted(as_tester, place):
    remark = add_remark(placement=place, place="sections[0].steps[0]", text="I end with 38.")
    page = as_tester.get(address("making", place)).content.decode()
    where = address("making_remark_change", place, remark.pk)
    assert where in page
    assert "step 1: " in page
    send_form(as_tester, where, text="I end with 39.")
    assert Remark.objects.get().text == "I end with 39."
    as_tester.post(address("making_remark_delete", place, remark.pk))
    assert not Remark.objects.exists()


def test_a_remark_that_became_a_correction_stays_as_it_was_said_and_takes_its_words_along(as_tester, place):
    remark = add_remark(placement=place, place="sections[0].steps[0]", text="I end with 38.")
    erratum = Erratum.objects.create(
        pattern=place.call.pattern, place="values.chest", found_in=place.call.version, why="I end with 38."
    )
    Remark.objects.update(erratum=erratum)
    where = address("making_remark_change", place, remark.pk)
    assert "The studio has made a correction from it" in as_tester.get(where).content.decode()
    assert as_tester.post(where, {"text": "Other words"}).status_code == 200
    assert Remark.objects.get().text == "I end with 38."
    as_tester.post(address("making_remark_delete", place, remark.pk))
    erratum.refresh_from_db()
    assert "38" not in erratum.why


@pytest.mark.parametrize(
    ("name", "maker"), [("making_photo_change", "photo"), ("making_remark_change", "remark")]
)
def test_what_others_sent_is_not_found(as_tester, place, name, maker):
    other = make_place(place.call, email="moss@larkmoss.example")
    if maker == "photo":
        pk = add_photo(placement=other, photo=photo_of("a"), alt="Theirs").pk
    else:
        pk = add_remark(placement=other, place="sections[0].steps[0]", text="Theirs").pk
    for whose in (place, other):
        assert as_tester.get(address(name, whose, pk)).status_code == 404
        as_tester.post(address(name.replace("change", "delete"), whose, pk))
    assert ResultPhoto.objects.count() + Remark.objects.count() == 1
