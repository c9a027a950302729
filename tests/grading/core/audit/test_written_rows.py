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


@pytest.mark.parametrize(
    ("craft", "text"),
    [
        ("crochet", "Row 6: ch 1; turn; 10 sc; dec; 6 sc; dec; 10 sc."),
        ("crochet", "Row 6: Ch 1, turn. Working in front loops: sc in each st across. 30 sts"),
        ("crochet", "Row 6: Ch 1, turn, sc in each st. –30 sts"),
        ("crochet", "Rnd 6: sc 10, sc2tog, sc 6, sc2tog, sc 10, 28 sts."),
        ("knitting", "*K3, p3, rep from * five times in all."),
        ("knitting", "K10, bind off next 10 sts, k to end (10 sts on each side)."),
        ("knitting", "Dec 1 st at each end of the row: 28 sts."),
        ("knitting", "K to end, dec 4 sts. 26 sts"),
    ],
)
def test_a_row_that_comes_out_is_never_called_wrong(craft, text):
    audited = audit_row({"craft": craft, "before": 30, "text": text, "counts_turning_chain": False})
    assert (audited.verdict, audited.says) == ("agrees", "")


@pytest.mark.parametrize(
    "text", ["Row 3: 2 sc in next ch-2 sp, sc in each st across. (24 sc)", "20 sc. (20 sc)"]
)
def test_what_lies_beneath_is_unread_and_not_wrong_after_a_row_that_cannot_be_read(text):
    rows = [{"text": "Row 2: Work as charted."}, {"text": text}]
    assert audit_list({"craft": "crochet", "rows": rows})[1].verdict == "unreadable"
