"""Rows and lists in wordings of other editors: how many are read, and what the count audit says of them."""

import json
from functools import cache
from pathlib import Path

from grading.core.audit.rows import audit_list, audit_row

DATA = Path(__file__).resolve().parents[3] / "data" / "count_rows"
ROWS = json.loads((DATA / "fresh_rows.json").read_text(encoding="utf-8"))
LISTS = json.loads((DATA / "fresh_lists.json").read_text(encoding="utf-8"))


@cache
def judged_rows():
    """Each row on which editors agree: its text, the truth, and what the audit found."""
    judged = [(row["text"], row["truth"], audit_row(row)) for row in ROWS if not row.get("doubtful")]
    for rows in LISTS:
        found = audit_list(rows)
        judged += [
            (row["text"], row["truth"], audited) for row, audited in zip(rows["rows"], found, strict=True)
        ]
    return judged


def with_truth(verdict):
    return [(text, truth, found) for text, truth, found in judged_rows() if truth["verdict"] == verdict]


def readable():
    return with_truth("agrees") + with_truth("disagrees")


def test_there_are_enough_rows_of_each_kind():
    assert len(judged_rows()) >= 150
    assert len(with_truth("disagrees")) >= 20
    assert len(with_truth("unreadable")) >= 20


def test_of_the_rows_that_can_be_read_nearly_all_are_read():
    read = [text for text, _, found in readable() if found.verdict != "unreadable"]
    assert len(read) >= 0.95 * len(readable())


def test_no_row_that_comes_out_is_called_wrong():
    assert [text for text, _, found in with_truth("agrees") if found.verdict == "disagrees"] == []


def test_hardly_a_mistake_is_missed():
    missed = [text for text, _, found in with_truth("disagrees") if found.verdict == "agrees"]
    assert len(missed) <= 0.02 * len(with_truth("disagrees"))


def test_rows_that_cannot_be_read_get_no_count():
    guessed = [text for text, _, found in with_truth("unreadable") if found.leaves is not None]
    assert len(guessed) <= 0.05 * len(with_truth("unreadable"))


def test_what_is_read_is_counted_as_an_editor_counts_it():
    wrong = [
        text
        for text, truth, found in readable()
        if found.verdict != "unreadable" and (found.takes, found.leaves) != (truth["takes"], truth["leaves"])
    ]
    assert wrong == []


PLAIN = json.loads((DATA / "plain_rows.json").read_text(encoding="utf-8"))


def test_rows_in_the_plainest_words_are_read_right_or_not_at_all():
    """Written by somebody who had not seen how rows are read; the truth worked out by hand."""
    judged = [(row["text"], row["truth"], audit_row(row)) for row in PLAIN if not row.get("doubtful")]
    wrong = [
        text
        for text, truth, found in judged
        if found.verdict != "unreadable"
        and (found.verdict, found.takes, found.leaves) != (truth["verdict"], truth["takes"], truth["leaves"])
    ]
    assert wrong == []
    of_use = [found for _, truth, found in judged if truth["verdict"] != "unreadable"]
    assert sum(found.verdict != "unreadable" for found in of_use) >= 0.8 * len(of_use)
