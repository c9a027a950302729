"""What a maker sends is seen: one page per garment, and notes with the results."""

import csv
import io

import pytest
from django.urls import reverse
from pypdf import PdfReader

from catalogue.photos.pictures import CleanFile, CleanPhoto
from testing.models import Result
from testing.results.own_photos import add_photo
from testing.results.results import add_remark, save_entry
from testing.results.sent_things import ERASED, typed_words
from tests.testing.builders import make_call

NOTE = "It grows in the wash."
PHOTO = CleanPhoto(4, 3, "a1" * 32, (CleanFile("jpg", 4, 3, b"\xff\xd8\xff\xd9"),))


@pytest.fixture
def result(place):
    """A garment with a bit of everything."""
    typed = {"stitches": "20", "rows": "28", "over": "10 cm"}
    save_entry(placement=place, part="gauge", name="main", typed=typed, meant={"stitches": 0.2, "rows": 0.28})
    save_entry(
        placement=place,
        part="measured",
        name="chest",
        typed={"length": "101.5", "unit": "cm"},
        meant={"mm": 1015},
    )
    save_entry(placement=place, part="tool", name="", typed={"text": "4.5 mm, bamboo"}, meant={})
    save_entry(placement=place, part="hours", name="", typed={"hours": "42"}, meant={"hours": 42})
    add_photo(placement=place, photo=PHOTO, alt="The front, worn")
    add_remark(placement=place, place="sections[0].steps[0]", text="Twelve too many?")
    save_entry(placement=place, part="note", name="", typed={"text": NOTE}, meant={})
    return Result.objects.get(placement=place)


def address(call, name, *more):
    return reverse(name, args=[call.pattern.slug, call.pk, *more])


def test_one_page_has_everything_that_a_maker_sent_in_order_of_time(as_designer, call, result):
    page = as_designer.get(address(call, "call_garment", result.pk)).content.decode()
    said = [
        "Gauge: Stocking stitch",
        "20 stitches and 28 rows over 10 cm",
        "101.5 cm",
        "4.5 mm, bamboo",
        ">Hours<",
        "The front, worn",
        "Twelve too many?",
        NOTE,
    ]
    page = page.split("Everything that was sent</h2>")[1]
    places = [page.find(words) for words in said]
    assert places == sorted(places)
    assert places[0] > 0
    assert page.count("<img") == 1


def test_the_page_of_a_garment_is_reached_from_call_and_results(as_designer, call, result):
    garment = address(call, "call_garment", result.pk)
    assert garment in as_designer.get(address(call, "call")).content.decode()
    assert garment in as_designer.get(address(call, "call_results")).content.decode()


def test_notes_and_answers_stand_with_the_results(as_designer, call, result):
    page = as_designer.get(address(call, "call_results")).content.decode()
    assert NOTE in page
    assert "4.5 mm, bamboo" in page


def test_the_report_has_the_notes_without_their_makers_name(as_designer, call, result):
    content = as_designer.get(address(call, "call_report")).content
    text = " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(content)).pages).split())
    assert NOTE in text
    assert "Wren" not in text


def test_the_files_of_a_call_have_what_its_makers_told(as_designer, call, result):
    (row,) = csv.DictReader(io.StringIO(as_designer.get(address(call, "call_file", "csv")).content.decode()))
    assert (row["Notes"], row["Hook or needle used"], row["Hours"]) == (NOTE, "4.5 mm, bamboo", "42")
    (person,) = as_designer.get(address(call, "call_file", "json")).json()["applicants"]
    assert {"what": "Photo", "says": "The front, worn"}.items() <= person["everything_sent"][4].items()
    assert len(person["everything_sent"]) == 7


def test_a_garment_of_another_call_is_not_found(as_designer, call, result):
    other = make_call(pattern=call.pattern, version=False)
    assert as_designer.get(address(other, "call_garment", result.pk)).status_code == 404


def test_an_erased_maker_has_no_name_there(as_designer, call, result):
    Result.objects.update(placement=None)
    page = as_designer.get(address(call, "call_garment", result.pk)).content.decode()
    assert ERASED in page
    assert "Wren" not in page


@pytest.mark.parametrize(
    ("part", "name", "typed", "meant", "words"),
    [
        ("measured", "chest", {"length": "40 3/8", "unit": "in"}, {"mm": 1025.525}, "40 3/8 in"),
        ("measured", "chest", {"length": "18½", "unit": "in"}, {"mm": 469.9}, "18½ in"),
        ("yarn", "A", {"weight": "11 oz"}, {"g": 311.8}, "11 oz"),
        ("metres", "A", {"length": "230", "unit": "m"}, {"m": 230}, "230 m"),
        ("fit", "length", {"fit": "tight", "on": "me"}, {}, "too short (me)"),
        ("worked", "body_rows", {"count": "132"}, {"count": 132}, "132"),
        ("option", "neck", {"choice": "deep"}, {}, "deep"),
    ],
)
def test_what_was_typed_is_told_as_it_was_typed(part, name, typed, meant, words):
    assert typed_words(part, name, typed, meant) == words
