"""A sheet's files: workbooks and CSV to download, lists of values brought in."""

import io
from typing import Any

import openpyxl
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse
from python_calamine import CalamineWorkbook

from catalogue.drafts.documents import pattern_document
from catalogue.models import Pattern
from tests.builders import make_person
from tests.catalogue.desk_work import fresh, load
from tests.grading.table_builders import xlsx

pytestmark = pytest.mark.django_db


@pytest.fixture
def designer(client):
    person = make_person(role="designer")
    client.force_login(person)
    return person


def listed(pattern: Pattern) -> dict[str, Any]:
    return {value["name"]: value.get("list") for value in pattern_document(fresh(pattern))["values"]}


def bring(client, pattern, step="check", **data):
    sent = {"revision": fresh(pattern).sheet.revision, "unit": "cm", **data}
    return client.post(reverse(f"value_lists_{step}", args=[pattern.slug]), sent)


def held_by(answer):
    form = answer.context["form"]
    return {name: form[name].value() for name in form.fields if name != "file"}


def test_the_workbook_has_formulas_and_is_named_after_the_pattern(client, designer):
    pattern = load()
    answer = client.get(reverse("sheet_file", args=[pattern.slug, "xlsx"]))
    assert answer["Content-Disposition"] == 'attachment; filename="marlstone-vest.xlsx"'
    sheet = openpyxl.load_workbook(io.BytesIO(answer.content))["Values"]
    assert sheet["G3"].value == "=(Body!G3+Values!G2)"
    assert sheet["F3"].value == "bust + ease"


def test_the_ods_file_and_the_csv_file(client, designer):
    pattern = load()
    book = client.get(reverse("sheet_file", args=[pattern.slug, "ods"])).content
    names = CalamineWorkbook.from_filelike(io.BytesIO(book)).sheet_names
    assert names == ["About", "Body", "Fabrics", "Values", "Checks", "Workings"]
    lines = client.get(reverse("sheet_file", args=[pattern.slug, "csv"])).content.decode().splitlines()
    assert lines[0] == "name,label,kind,unit,S,M,L"
    assert lines[3] == 'back,"Back, stitches",stitches,stitches,64,70,76'
    assert client.get(reverse("sheet_file", args=[pattern.slug, "exe"])).status_code == 404


def test_lists_are_looked_at_and_then_written(client, designer):
    pattern = load()
    text = "value\tkind\tS\tM\tL\nedge\t\t5\t\t7\nband\tlength\t3\t3.5\t1 in\n"
    answer = bring(client, pattern, text=text.replace("1 in", "4"))
    page = answer.content.decode()
    assert "Line 2, size M" in page
    assert listed(pattern)["edge"] == [4, 4, 6]
    assert bring(client, pattern, "store", **held_by(answer)).status_code == 302
    assert listed(pattern)["edge"] == [5, None, 7]
    assert listed(pattern)["band"] == ["3 cm", "3.5 cm", "4 cm"]


def test_lists_come_from_workbooks_too(client, designer):
    pattern = load()
    upload = SimpleUploadedFile("a.xlsx", xlsx([["value", "S", "M", "L"], ["edge", 6, 8, 10]]))
    answer = bring(client, pattern, file=upload)
    bring(client, pattern, "store", **held_by(answer))
    assert listed(pattern)["edge"] == [6, 8, 10]


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("value,S,M\nedge,1,2", "no column for L"),
        ("value,S,M,Lge\nedge,1,2,3", "The first line says “Lge” where L is expected"),
        ("value,S,M,L,Q\nedge,1,2,3,4", "“Q” is not"),
        ("edge,S,M,L\n1,2,3,4", "must say “value”"),
        ("value,S,M,L\nchest,1,2,3", "worked out by formula"),
        ("value,S,M,L\nnothing,1,2,3", "there is no value “nothing”"),
        ("value,S,M,L\nedge,1,two,3", "Line 2, size M"),
        ("value,kind,S,M,L\nBad Name,rows,1,2,3", "values"),
    ],
)
def test_lists_that_do_not_fit_are_said_and_kept(client, designer, text, words):
    pattern = load()
    answer = bring(client, pattern, text=text)
    assert answer.status_code == 400
    page = answer.content.decode()
    assert words in page
    assert text.split(",")[1] in page
    assert bring(client, pattern, "store", text=text).status_code == 400
    assert listed(pattern)["edge"] == [4, 4, 6]


def test_lists_not_looked_at_are_not_written(client, designer):
    pattern = load()
    answer = bring(client, pattern, "store", text="value,S,M,L\nedge,1,2,3")
    assert answer.status_code == 200
    assert listed(pattern)["edge"] == [4, 4, 6]


def test_an_edit_in_between_is_looked_at_again(client, designer):
    pattern = load()
    held = held_by(bring(client, pattern, text="value,S,M,L\nedge,1,2,3"))
    other = held_by(bring(client, pattern, text="value,S,M,L\nedge,7,8,9"))
    assert bring(client, pattern, "store", **other).status_code == 302
    answer = bring(client, pattern, "store", **held)
    assert answer.status_code == 409
    assert "Somebody else saved first" in answer.content.decode()
    assert listed(pattern)["edge"] == [7, 8, 9]


@pytest.mark.parametrize("name", ["value_lists", "value_lists_check", "value_lists_store"])
def test_only_the_studio_brings_lists(client, name):
    pattern = load()
    assert client.get(reverse(name, args=[pattern.slug])).status_code == 302
    client.force_login(make_person(role="tester"))
    assert client.get(reverse(name, args=[pattern.slug])).status_code == 404


@pytest.mark.parametrize("name", ["value_lists_check", "value_lists_store"])
def test_addresses_that_only_take_what_is_sent(client, designer, name):
    assert client.get(reverse(name, args=[load().slug])).status_code == 405


def test_a_name_that_no_pattern_can_hold_is_told_at_its_line_by_label(client, designer):
    page = bring(client, load(), text="value,kind,S,M,L\nHem Rows,rows,1,2,3").content.decode()
    assert "$." not in page
    assert "Value “Hem rows”, name: " in page
