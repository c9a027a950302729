"""Photos on the desk and as files: several at once, with words, served only to those who may see them."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from catalogue.editions.verification import faults
from catalogue.models import FrozenPhoto, Photo
from catalogue.photos.photos import delete_photo, put_first
from tests.builders import make_person
from tests.catalogue import pictures
from tests.catalogue.builders import make_pattern, make_photo, make_version

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("quick_pdf")]
SEVERAL = pictures.bad_images()["several"]
CASES = {case["name"]: case for case in pictures.bad_images()["cases"]}

NAMED = [
    name
    for name, case in CASES.items()
    if case["becomes"] == "stored" and ("called" in case or "called_length" in case)
]


def address(pattern):
    return reverse("photos", args=[pattern.slug])


def upload(content=None, name="a.jpg"):
    return SimpleUploadedFile(name, pictures.jpeg() if content is None else content, "image/jpeg")


def file_address(photo, place=0):
    return reverse("photo_file", args=[photo.files[place]["name"].rpartition("/")[2]])


def test_several_pictures_are_added_each_with_its_words(designer_client):
    pattern = make_pattern()
    other = pictures.jpeg(pictures.two_colours((80, 40)))
    data = {
        "pictures": [upload(), upload(other)],
        "alts": "From the front\n\n From the back ",
        "caption": "Size M",
    }
    assert designer_client.post(address(pattern), data).status_code == 302
    stored = list(pattern.photos.all())
    assert [one.alt for one in stored] == ["From the front", "From the back"]
    assert [one.width_px for one in stored] == [64, 80]
    page = designer_client.get(address(pattern)).content.decode()
    assert 'alt="From the front"' in page
    assert "srcset=" in page


@pytest.mark.parametrize("name", [name for name, case in CASES.items() if case["becomes"] == "refused"])
def test_what_is_no_photo_is_refused_in_the_form_and_nothing_is_stored(designer_client, name):
    pattern = make_pattern()
    case = CASES[name]
    data = {"pictures": upload(pictures.make(case), case.get("called", "a.jpg")), "alts": "Typed words"}
    answer = designer_client.post(address(pattern), data)
    page = answer.content.decode()
    assert answer.status_code == 200
    assert case.get("says", "") in page
    assert "Typed words" in page
    assert not Photo.objects.exists()


@pytest.mark.parametrize("name", NAMED)
def test_the_name_of_an_upload_is_never_used(designer_client, settings, name):
    case = CASES[name]
    pattern = make_pattern()
    called = case.get("called") or "n" * case["called_length"] + ".png"
    file = upload(pictures.make(case))
    file.name = "placeholder.png"
    file._name = called
    assert designer_client.post(address(pattern), {"pictures": file, "alts": "Two dots"}).status_code == 302
    photo = Photo.objects.get()
    answer = designer_client.get(file_address(photo))
    assert answer["Content-Type"] == "image/jpeg"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert photo.digest in answer["Content-Disposition"]
    assert "X" not in answer.headers
    answer.close()
    stored = [path for path in settings.MEDIA_ROOT.rglob("*") if path.is_file()]
    assert all(path.name.startswith(photo.digest) for path in stored)


def test_too_many_pictures_at_once_are_refused_with_the_limit(designer_client):
    pattern = make_pattern()
    data = {"pictures": [upload() for _ in range(SEVERAL["files"])], "alts": "One\n" * SEVERAL["files"]}
    answer = designer_client.post(address(pattern), data)
    assert answer.status_code == 200
    assert SEVERAL["says"] in answer.content.decode()
    assert not Photo.objects.exists()


@pytest.mark.parametrize("alts", ["", "   ", "One\nTwo", "x" * 301])
def test_a_photo_without_its_words_is_refused(designer_client, alts):
    pattern = make_pattern()
    answer = designer_client.post(address(pattern), {"pictures": upload(), "alts": alts})
    assert answer.status_code == 200
    assert "invalid-feedback" in answer.content.decode()
    assert not Photo.objects.exists()


def test_no_picture_at_all_is_asked_for(designer_client):
    answer = designer_client.post(address(make_pattern()), {"alts": "Words"})
    assert "Choose one picture or several." in answer.content.decode()


def test_words_are_changed_and_the_first_photo_is_chosen(designer_client):
    pattern = make_pattern()
    first = make_photo(pattern, alt="First")
    second = make_photo(pattern, alt="Second", picture=pictures.two_colours((80, 40)))
    place = {"slug": pattern.slug, "pk": second.pk}
    designer_client.post(reverse("photo_first", kwargs=place))
    designer_client.post(
        reverse("photo", kwargs=place), {"alt": "Second, from the back", "caption": "Size L"}
    )
    assert [one.alt for one in pattern.photos.all()] == ["Second, from the back", "First"]
    assert designer_client.get(reverse("photo_first", kwargs=place)).status_code == 405
    other = {"slug": make_pattern("cinderfell_raglan").slug, "pk": first.pk}
    assert designer_client.post(reverse("photo_delete", kwargs=other)).status_code == 404


def test_a_photo_is_for_the_studio_until_its_pattern_has_a_release(client):
    pattern = make_pattern()
    photo = make_photo(pattern)
    make_version(pattern, kind="test", number="0.1")
    assert client.get(file_address(photo)).status_code == 404
    client.force_login(make_person(role="tester"))
    assert client.get(file_address(photo)).status_code == 404
    client.force_login(make_person(role="editor"))
    private = client.get(file_address(photo, 1))
    assert (private.status_code, private["Content-Type"]) == (200, "image/webp")
    assert private["Cache-Control"] == "private, no-store"
    private.close()
    client.logout()
    make_version(pattern, number="1.0")
    public = client.get(file_address(photo))
    assert public.status_code == 200
    assert "immutable" in public["Cache-Control"]
    assert not public.cookies
    public.close()


def test_visitors_see_the_photos_of_the_release_and_no_others(client):
    """What the studio does to its photos afterwards shows with the next release."""
    pattern = make_pattern()
    old = make_photo(pattern, alt="As released", caption="Size M")
    make_version(pattern, number="1.0")
    new = make_photo(pattern, alt="Not out yet", picture=pictures.two_colours((80, 40)))
    old_address, new_address = file_address(old), file_address(new)
    delete_photo(photo=old)

    page = client.get(reverse("pattern_page", args=[pattern.slug])).content.decode()
    assert 'alt="As released"' in page
    assert "Size M" in page
    assert "Not out yet" not in page
    for listed in (page, client.get(reverse("catalogue")).content.decode()):
        assert old_address in listed
        assert new_address not in listed
    shown = client.get(old_address)
    assert shown.status_code == 200
    shown.close()
    assert client.get(new_address).status_code == 404
    assert list(faults()) == []

    make_version(pattern, number="1.1")
    page = client.get(reverse("pattern_page", args=[pattern.slug])).content.decode()
    assert "As released" not in page
    assert 'alt="Not out yet"' in page
    FrozenPhoto.objects.filter(version__minor=1).delete()
    assert [says for says in faults() if "its rows have other photos than its record" in says]


@pytest.mark.parametrize("name", ["x", "0" * 64 + "-64.jpg", "..%2f..%2fsecret", "a" * 300])
def test_a_file_that_there_is_not_answers_404(client, name):
    assert client.get(reverse("photo_file", args=[name])).status_code == 404


@pytest.mark.django_db(transaction=True)
def test_files_go_with_their_photo_unless_a_version_holds_them(settings):
    pattern = make_pattern()
    free, frozen = make_photo(pattern), make_photo(pattern, picture=pictures.two_colours((80, 40)))
    delete_photo(photo=free)
    make_version(pattern, kind="test", number="0.1")
    digest = frozen.digest
    delete_photo(photo=frozen)
    stored = [path for path in settings.MEDIA_ROOT.rglob("*.jpg") if path.is_file()]
    assert [path.name for path in stored] == [f"{digest}-80.jpg"]


def test_the_first_photo_stays_first_when_more_come():
    pattern = make_pattern()
    make_photo(pattern, alt="One")
    two = make_photo(pattern, alt="Two", picture=pictures.two_colours((80, 40)))
    put_first(photo=two)
    make_photo(pattern, alt="Three", picture=pictures.two_colours((96, 40)))
    assert [one.alt for one in pattern.photos.all()] == ["Two", "One", "Three"]
