"""Written rows with the truth about their counts, worked out by hand and by an independent simulator."""

import json
from pathlib import Path

import pytest

from grading.core.audit.rows import audit_list, audit_row

DATA = Path(__file__).resolve().parents[3] / "data" / "count_rows"
ROWS = json.loads((DATA / "rows.json").read_text(encoding="utf-8"))
LISTS = json.loads((DATA / "lists.json").read_text(encoding="utf-8"))


def answers(audited):
    return {
        "takes": audited.takes,
        "unworked": audited.unworked,
        "leaves": audited.leaves,
        "said": audited.said,
        "verdict": audited.verdict,
    }


@pytest.mark.parametrize("row", ROWS, ids=lambda row: str(row["id"]))
def test_each_row_is_read_and_counted_as_an_editor_does(row):
    found, truth = answers(audit_row(row)), row["truth"]
    if row.get("doubtful"):
        assert found["verdict"] in (truth["verdict"], "unreadable")
    elif truth["verdict"] == "unreadable":
        assert found["verdict"] == "unreadable"
        assert found["leaves"] is None
    else:
        known = {name: number for name, number in truth.items() if number is not None or name == "said"}
        assert {name: found[name] for name in known} == known


@pytest.mark.parametrize("rows", LISTS, ids=lambda rows: rows["title"])
def test_each_row_of_a_list_begins_with_what_the_row_above_leaves(rows):
    for row, audited in zip(rows["rows"], audit_list(rows), strict=True):
        truth, found = row["truth"], answers(audited)
        assert found["verdict"] == truth["verdict"], row["text"]
        if truth["verdict"] != "unreadable":
            assert (found["takes"], found["leaves"]) == (truth["takes"], truth["leaves"]), row["text"]


def test_a_row_that_cannot_be_read_names_the_words():
    audited = audit_row(
        {
            "craft": "crochet",
            "before": 36,
            "text": "Row 5: *Sc in next 2 sts, work knot cluster; rep from * to end.",
        }
    )
    assert audited.verdict == "unreadable"
    assert "knot cluster" in audited.says


def test_a_closing_count_never_rescues_a_row_that_cannot_be_read():
    audited = audit_row({"craft": "knitting", "before": 40, "text": "Next row: Dec evenly across. (36 sts)"})
    assert (audited.verdict, audited.leaves) == ("unreadable", None)
