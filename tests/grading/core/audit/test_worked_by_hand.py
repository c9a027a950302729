"""Rows in the trade's wordings, counted by hand, and rows that say too little to be counted."""

import json
from pathlib import Path

import pytest

from grading.core.audit.rows import audit_row

DATA = Path(__file__).resolve().parents[3] / "data" / "count_rows"
ROWS = json.loads((DATA / "worked_by_hand.json").read_text(encoding="utf-8"))
READABLE = [row for row in ROWS if row["truth"]["verdict"] != "unreadable"]
UNREADABLE = [row for row in ROWS if row["truth"]["verdict"] == "unreadable"]


def text_of(row):
    return row["text"]


@pytest.mark.parametrize("row", READABLE, ids=text_of)
def test_a_row_is_counted_as_by_hand(row):
    audited = audit_row(row)
    assert {name: getattr(audited, name) for name in row["truth"]} == row["truth"], audited.says


@pytest.mark.parametrize("row", UNREADABLE, ids=text_of)
def test_a_row_that_says_too_little_names_what_is_missing_and_gets_no_count(row):
    audited = audit_row(row)
    assert (audited.verdict, audited.takes, audited.leaves) == ("unreadable", None, None)
    assert row["truth"]["names"].casefold() in audited.says.casefold()
    assert audited.says
