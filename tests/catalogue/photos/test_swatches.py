"""The swatch diary of a pattern: dated swatches with a picture, one of them in force."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from catalogue.drafts.documents import pattern_document
from catalogue.models import Swatch
from tests.builders import make_person
from tests.catalogue.desk_work import fresh, load
from tests.catalogue.pictures import jpeg

pytestmark = pytest.mark.django_db
SWATCH = {
    "fabric": "main", "made_on": "2026-03-02", "over": "10 cm", "after_stitches": "15", "after_rows": "8,5",
    "weight_g": "12.6",
}  # fmt: skip


@pytest.fixture(autouse=True)
def designer(client):
    client.force_login(make_person(role="designer"))


def diary(pattern):
    return reverse("swatches", args=[pattern.slug])


def add(client, pattern, **typed):
    return client.post(diary(pattern), {**SWATCH, **typed})


def test_a_swatch_is_kept_with_its_date_counts_and_picture(client):
    pattern = load()
    picture = SimpleUploadedFile("swatch.jpg", jpeg(), "image/jpeg")
    answer = add(
        client, pattern, before_stitches="14", before_rows="8", picture=picture, alt="Blocked, pinned out"
    )
    assert answer.status_code == 302
    page = client.get(diary(pattern)).content.decode()
    assert "2 March 2026" in page
    assert "After blocking 15 stitches and 8.5 rows" in page.replace("\n  ", " ")
    assert 'alt="Blocked, pinned out"' in page
    swatch = Swatch.objects.get()
    shown = client.get(swatch.largest_url)
    assert shown.status_code == 200
    shown.close()
    client.logout()
    assert client.get(swatch.largest_url).status_code == 404


def test_the_swatch_that_is_used_gives_the_sheet_its_gauge_and_is_in_force(client):
    pattern = load()
    add(client, pattern)
    add(client, pattern, made_on="2026-04-05", after_stitches="14", after_rows="8", weight_g="")
    newer, older = Swatch.objects.all()
    (fabric,) = client.get(diary(pattern)).context["fabrics"]
    assert fabric["in_force"] == newer.pk
    use = reverse("swatch_use", args=[pattern.slug, older.pk])
    assert client.post(use, {"revision": 1}).status_code == 302
    main = pattern_document(fresh(pattern))["fabrics"]["main"]
    assert (main["stitches"], main["rows"], main["over"]) == (15, 8.5, "10 cm")
    assert main["swatch"] == {"stitches": 15, "rows": 8.5, "weight": "12.6 g"}
    (fabric,) = client.get(diary(pattern)).context["fabrics"]
    assert fabric["in_force"] == older.pk
    assert client.post(use, {"revision": 1}).status_code == 409


def test_a_swatch_that_is_taken_out_leaves_the_gauge_of_the_sheet(client):
    pattern = load()
    add(client, pattern)
    swatch = Swatch.objects.get()
    client.post(reverse("swatch_use", args=[pattern.slug, swatch.pk]), {"revision": 1})
    client.post(reverse("swatch_delete", args=[pattern.slug, swatch.pk]))
    assert not Swatch.objects.exists()
    assert pattern_document(fresh(pattern))["fabrics"]["main"]["stitches"] == 15


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        ({"made_on": "yesterday"}, "made_on", "valid date"),
        ({"before_stitches": "14"}, "before_rows", "or neither"),
        ({"after_stitches": "many"}, "after_stitches", "can't be read as a number"),
        ({"picture": SimpleUploadedFile("s.jpg", b"no picture", "image/jpeg"), "alt": "Mine"}, "picture", ""),
    ],
)
def test_what_is_no_swatch_is_refused_and_what_was_typed_stays(client, typed, field, says):
    pattern = load()
    answer = add(client, pattern, note="5 mm hook", **typed)
    errors = answer.context["form"].errors
    assert list(errors) == [field]
    assert says in errors[field][0]
    assert "5 mm hook" in answer.content.decode()
    assert not Swatch.objects.exists()
