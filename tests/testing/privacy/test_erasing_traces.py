"""Traces elsewhere: words in errata made from a remark, files that no row knows, an end in the middle."""

import os
import time
from datetime import date
from pathlib import Path

import pytest
from django.conf import settings
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.mail import EmailMessage
from django.urls import reverse

from catalogue.errata.errata import Mistake, judge_erratum, report_erratum
from catalogue.errata.merging import merge_errata
from catalogue.errata.quotes import SHEETS
from catalogue.models import ErratumEvent, ErratumSighting, Notice, Person, Photo, Swatch
from catalogue.photos.photos import add_photos
from catalogue.photos.pictures import clean_picture
from catalogue.photos.swatches import add_swatch
from catalogue.studio.mail_folder import FolderBackend
from testing.applications.applications import application_key
from testing.models import Application, Remark, ResultPhoto
from testing.privacy import erasing, leftovers
from testing.privacy.erasing import erase_person
from testing.privacy.leftovers import sweep_all_pictures, sweep_mails
from testing.results.own_photos import add_photo
from testing.results.results import add_remark
from testing.running.tending import tend_calls
from testing.verdicts.corrections import Correction, correct_from_remark
from tests.present import present
from tests.testing.builders import make_application, make_place
from tests.testing.results.test_making_pages import picture

WORDS = "I frogged this twice & my cat\nwalked off with the back"
SAID = "frogged this twice"


@pytest.fixture(autouse=True)
def looks_anew(monkeypatch):
    monkeypatch.setattr(leftovers, "_LOOKED_AT", {})


@pytest.fixture
def remark(place):
    add_remark(placement=place, place="sections[0].steps[0]", text=WORDS)
    return Remark.objects.get()


def correct(remark, why):
    correction = Correction(remark.place, ["M"], "Row 3 says 12.", "14.", why, "wrong")
    return correct_from_remark(remark=remark, correction=correction)


def test_a_remark_leaves_the_erratum_made_from_it_with_what_tells_its_maker(remark):
    erratum = correct(
        remark, f"A tester's remark, size M: {WORDS.replace(chr(10), '  ')} I agree, so does Ida."
    )
    other = report_erratum(
        Mistake(pattern=erratum.pattern, place=erratum.place, says="Another.", why="By letter.")
    )
    merge_errata(erratum=erratum, into=other, by=None)
    notice = Notice.objects.create(
        version=remark.result.version, letters={"0.1": ["Hi", f"Why: {WORDS}", ""]}
    )
    notice.errata.add(erratum)
    erase_person(person=remark.result.placement.person)
    erratum.refresh_from_db()
    assert erratum.why == "A tester's remark: [erased] I agree, so does Ida."
    assert (erratum.found_by, erratum.says, erratum.should_say) == (
        "A tester's remark",
        "Row 3 says 12.",
        "14.",
    )
    assert {seen.found_by for seen in ErratumSighting.objects.all()} == {"A tester's remark"}
    assert not [event.says for event in ErratumEvent.objects.all() if "size M" in event.says]
    notice.refresh_from_db()
    assert notice.letters == {"0.1": ["Hi", "Why: [erased]", ""]}


def test_a_remark_told_with_a_known_erratum_leaves_its_sighting(remark):
    known = report_erratum(
        Mistake(pattern=remark.result.version.pattern, place=remark.place, says="Row 3 says 12.")
    )
    assert correct(remark, WORDS) == known
    assert SAID in ErratumSighting.objects.get().note
    erase_person(person=remark.result.placement.person)
    assert ErratumSighting.objects.get().note == "[erased]"


def test_the_public_page_and_kept_sheets_of_corrections_lose_the_words(client, remark):
    erratum = correct(remark, f"A tester's remark, size M: {WORDS}")
    judge_erratum(erratum=erratum, is_mistake=True)
    sheet = default_storage.save(f"{SHEETS}/one.pdf", ContentFile(b"as it was printed"))
    erase_person(person=remark.result.placement.person)
    assert not default_storage.exists(sheet)
    erratum.refresh_from_db()
    assert SAID not in erratum.why


def test_an_erratum_from_an_empty_remark_or_anothers_words_stays(remark):
    erratum = correct(remark, "The count was never right.")
    erase_person(person=remark.result.placement.person)
    erratum.refresh_from_db()
    assert erratum.why == "The count was never right."


def test_words_that_a_field_cut_off_leave_it_too(place):
    text = "word " * 600 + "end"
    add_remark(placement=place, place="sections[0].steps[0]", text=text)
    erratum = correct(Remark.objects.get(), f"A tester's remark, size M: {text}"[:2_000])
    erase_person(person=present(place.person))
    erratum.refresh_from_db()
    assert erratum.why == "A tester's remark: [erased]"


class Killed(BaseException):
    """The end of the process."""


@pytest.mark.parametrize("where", ["_erase_files", "_erase_rows"])
def test_who_asked_is_erased_later_where_the_process_ended_in_the_middle(client, place, monkeypatch, where):
    moss = make_application(place.call, name="Moss Reed", email="moss@larkmoss.example")
    client.force_login(place.person)

    def end(*_, **__):
        raise Killed

    with monkeypatch.context() as ended:
        ended.setattr(erasing, where, end)
        for address in (
            reverse("my_data_erase"),
            reverse("application_erase", args=[application_key(moss)]),
        ):
            with pytest.raises(Killed):
                client.post(address)
    assert Application.objects.count() == 2
    tend_calls()
    assert not Application.objects.exists()
    assert not Person.objects.filter(email="wren@larkmoss.example").exists()


def age(*paths):
    past = time.time() - 2 * 3600
    for path in paths:
        os.utime(path, (past, past))


def test_a_picture_that_no_row_knows_is_swept_beside_others_of_its_result(place):
    add_photo(placement=place, photo=clean_picture(picture()), alt="The front")
    photo = ResultPhoto.objects.get()
    left = [
        default_storage.save(f"results/{photo.result_id}/ab/left.jpg", ContentFile(b"left")),
        default_storage.save("photos/ab/left.jpg", ContentFile(b"left")),
    ]
    assert sweep_all_pictures() == 0  # young
    age(*(path for path in Path(settings.MEDIA_ROOT).rglob("*.*")))
    assert sweep_all_pictures() == 0  # it was looked at a moment ago
    leftovers._LOOKED_AT.clear()
    assert sweep_all_pictures() == 2
    assert not [name for name in left if default_storage.exists(name)]
    assert all(default_storage.exists(one["name"]) for one in photo.files)


@pytest.mark.parametrize("row", [Photo, Swatch])
def test_pictures_of_the_studio_are_kept(place, row):
    pattern, clean = place.call.pattern, clean_picture(picture())
    if row is Photo:
        add_photos(pattern=pattern, photos=[(clean, "The front")], caption="")
    else:
        counted = {"over": "10 cm", "after_stitches": 20, "after_rows": 28}
        add_swatch(pattern=pattern, picture=clean, fabric="main", made_on=date(2026, 3, 1), **counted)
    files = [one["name"] for one in row.objects.get().files]
    age(*(path for path in Path(settings.MEDIA_ROOT).rglob("*.*")))
    sweep_all_pictures()
    assert files
    assert [name for name in files if not default_storage.exists(name)] == []


def test_e_mails_to_or_about_nobody_any_more_are_swept(call):
    place = make_place(call)
    known, gone = f"application-{place.application_id}", f"application-{place.application_id + 99}"
    for name, to in (
        (f"{known}.1", "Wren@larkmoss.example"),
        (f"{gone}.2", "wren@larkmoss.example"),
        ("letter.3", "gone@larkmoss.example"),
        ("letter.4", "Wren <wren@larkmoss.example>"),
    ):
        mail = EmailMessage("Hello", name, "a@larkmoss.example", [to])
        mail.extra_headers["Message-ID"] = f"<{name}@larkmoss.example>"
        FolderBackend().send_messages([mail])
    assert sweep_mails() == 0  # young
    age(*Path(settings.MAIL_DIR).glob("*.eml"))
    assert sweep_mails() == 2
    kept = [path.read_text() for path in Path(settings.MAIL_DIR).glob("*.eml")]
    assert sorted("letter.4" in text or f"{known}.1" in text for text in kept) == [True, True]
