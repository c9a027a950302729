"""Benches: what they print, when they fail, and that both sides of a comparison do the same work."""

import json

import numpy as np
import pytest
from django.core.management import CommandError, call_command

from catalogue.site.benches import sheets
from catalogue.site.benches.by_hand import hand_input, work_by_hand
from catalogue.site.benches.ratios import BenchError, BenchRatio, BenchResult, best_times
from catalogue.site.management.commands import bench
from grading.core.grade.grade import grade
from grading.core.pattern.file import read_pattern


def answering(monkeypatch, *ratios):
    made = BenchResult(
        "grading", "once", {f"ratio {at}": ratio for at, ratio in enumerate(ratios)}, {"ms": 3}
    )
    monkeypatch.setitem(bench.BENCHES, "grading", lambda: made)


def test_json_has_one_line_for_each_bench(monkeypatch, capsys):
    answering(monkeypatch, BenchRatio(1.23456, 5), BenchRatio(300, 100, "at least"))
    call_command("bench", "grading", "grading", "--json")
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) == 2
    found = json.loads(lines[0])
    assert set(found) == {"bench", "machine", "runs", "ratios", "notes"}
    assert found["ratios"]["ratio 0"] == {"value": 1.235, "target": 5, "limit": "at most", "ok": True}
    assert found["ratios"]["ratio 1"]["ok"] is True


@pytest.mark.parametrize("ratio", [BenchRatio(5.01, 5), BenchRatio(99, 100, "at least")])
def test_a_missed_target_is_named_and_ends_with_a_failure(monkeypatch, capsys, ratio):
    answering(monkeypatch, BenchRatio(1, 5), ratio)
    with pytest.raises(CommandError, match="Missed: ratio 1"):
        call_command("bench", "grading")
    assert "MISSED" in capsys.readouterr().out


def test_what_cannot_be_measured_is_said(monkeypatch):
    def missing():
        raise BenchError("The package is missing.")

    monkeypatch.setitem(bench.BENCHES, "grading", missing)
    with pytest.raises(CommandError, match="bench grading: The package is missing"):
        call_command("bench", "grading")


def test_there_is_no_bench_of_another_name():
    with pytest.raises(CommandError, match="invalid choice"):
        call_command("bench", "nothing")


def test_works_take_turns_and_preparations_come_before_their_own():
    done = []
    works = [lambda: done.append("a"), lambda: done.append("b")]
    best_times(works, rounds=2, preparations={1: lambda: done.append("for b")})
    assert done == ["a", "for b", "b"] * 2


def test_both_sides_work_out_the_same_numbers():
    document = sheets.sheet_document(sizes=5, values=60)
    by_hand = work_by_hand(hand_input(document))
    graded = grade(read_pattern(document))
    assert not graded.stops
    assert set(by_hand.worked) == set(graded.values)
    for name, value in graded.values.items():
        np.testing.assert_allclose(value.worked, by_hand.worked[name], rtol=1e-12)
        np.testing.assert_allclose(value.exact, by_hand.exact[name], rtol=1e-12)
        np.testing.assert_allclose(value.ideal, by_hand.ideal[name], rtol=1e-12)


def test_the_pattern_to_edit_is_a_sound_pattern_file():
    graded = grade(read_pattern(sheets.pattern_document(sizes=24, values=400)))
    assert len(graded.values) == 400
    assert not graded.stops
    assert all(all(results) for results in graded.checks.values())
