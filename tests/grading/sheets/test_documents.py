"""A sheet that is loaded comes out again, to the letter; only rows that differ are written."""

import json
from pathlib import Path
from typing import Any

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from grading.models import Sheet
from grading.sheets.documents import (
    KEYS,
    PARTS,
    entries_of,
    same_as_typed,
    sheet_document,
    store_sheet,
    with_entries,
)

SAMPLES = sorted((Path(__file__).parents[3] / "catalogue" / "site" / "demo").glob("*.json"))


def read_sample(path: Path) -> dict[str, Any]:
    document: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return document


def sheet_part(document: dict[str, Any]) -> dict[str, Any]:
    return {key: content for key, content in document.items() if key in KEYS}


def stored(document: dict[str, Any]) -> Sheet:
    sheet = Sheet.objects.create()
    store_sheet(sheet=sheet, document=document)
    return Sheet.objects.get(pk=sheet.pk)


def writes(queries: CaptureQueriesContext) -> list[str]:
    return [one["sql"] for one in queries if one["sql"].split()[0] in {"INSERT", "UPDATE", "DELETE"}]


def test_there_are_four_samples():
    assert len(SAMPLES) == 4


@pytest.mark.django_db
@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_a_sample_comes_out_as_it_went_in(path):
    wanted = sheet_part(read_sample(path))
    assert same_as_typed(sheet_document(stored(wanted)), wanted)


@pytest.mark.django_db
def test_absent_parts_stay_absent_and_empty_ones_empty():
    wanted = {"craft": "crochet", "sizes": ["M"], "stripes": [], "body": {}}
    assert same_as_typed(sheet_document(stored(wanted)), wanted)


@pytest.mark.django_db
def test_literals_are_kept_as_typed():
    fabric = {"label": "Plain", "stitches": 14.0, "rows": 10, "over": "4 in", "tool_mm": 5.50}
    value = {"name": "a", "label": "A", "kind": "length", "list": ["12.50 cm", None]}
    wanted = {"sizes": ["S", "M"], "fabrics": {"main": fabric}, "values": [value]}
    assert json.dumps(sheet_document(stored(wanted))) == json.dumps(wanted)


@pytest.mark.django_db
def test_changing_one_value_writes_one_row():
    document = sheet_part(read_sample(SAMPLES[0]))
    sheet = stored(document)
    changed = json.loads(json.dumps(document))
    changed["values"][3]["label"] = "Another label"
    with CaptureQueriesContext(
        connection,
    ) as queries:
        store_sheet(sheet=sheet, document=changed)
    written = writes(queries)
    assert len(written) == 1
    assert "grading_value" in written[0]
    assert written[0].count("Another label") == 1
    assert written[0].count("WHEN") == 2, "one row, its name and its entry"
    assert same_as_typed(sheet_document(Sheet.objects.get(pk=sheet.pk)), changed)


@pytest.mark.django_db
def test_storing_the_same_document_again_writes_nothing():
    document = sheet_part(read_sample(SAMPLES[1]))
    sheet = stored(document)
    with CaptureQueriesContext(connection) as queries:
        store_sheet(sheet=sheet, document=json.loads(json.dumps(document)))
    assert writes(queries) == []


@pytest.mark.django_db
def test_a_shorter_document_leaves_no_rows_behind():
    document = sheet_part(read_sample(SAMPLES[2]))
    sheet = stored(document)
    shorter = {**document, "values": document["values"][2:5]}
    del shorter["checks"]
    store_sheet(sheet=sheet, document=shorter)
    assert same_as_typed(sheet_document(Sheet.objects.get(pk=sheet.pk)), shorter)


def test_entries_and_content_are_inverse():
    document = read_sample(SAMPLES[3])
    for part in PARTS:
        if part in document:
            assert same_as_typed(with_entries(part, entries_of(document, part)), document[part])


@pytest.mark.parametrize(
    ("one", "other"), [(4, 4.0), (True, 1), ({"a": 1, "b": 2}, {"b": 2, "a": 1}), ([], None)]
)
def test_what_is_typed_differently_is_not_the_same(one, other):
    assert not same_as_typed(one, other)
