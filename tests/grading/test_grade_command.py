"""`manage.py grade FILE`: a table or JSON, and the exit status."""

import json
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import call_command

from tests.grading.core.sheets import pattern_file, value

SAMPLE = Path(__file__).resolve().parents[2] / "catalogue" / "site" / "demo" / "brackenmere_pullover.json"


def run(path, *options):
    out, err = StringIO(), StringIO()
    status: str | int | None = 0
    try:
        call_command("grade", str(path), *options, stdout=out, stderr=err)
    except SystemExit as ended:
        status = ended.code
    return status, out.getvalue(), err.getvalue()


def written(tmp_path, data):
    path = tmp_path / "pattern.json"
    path.write_text(data if isinstance(data, str) else json.dumps(data), encoding="utf-8")
    return path


def test_json_has_every_part_and_status_0():
    status, out, _ = run(SAMPLE, "--json")
    graded = json.loads(out)
    assert status == 0
    parts = ["sizes", "values", "checks", "shapings", "spreads", "curves", "pick_ups", "yarn", "findings"]
    assert list(graded) == parts
    assert graded["values"]["back_stitches"]["worked"] == [60, 68, 74, 82, 88, 94, 102, 108, 116]
    assert isinstance(graded["values"]["back_stitches"]["worked"][0], int)
    assert set(graded["findings"][0]) == {"where", "size", "weight", "line", "column", "says"}


def test_absent_parts_are_empty(tmp_path):
    status, out, _ = run(written(tmp_path, pattern_file()), "--json")
    graded = json.loads(out)
    assert status == 0
    assert graded["values"] == graded["pick_ups"] == {}
    assert graded["yarn"] == graded["findings"] == []


def test_the_table_shows_numbers_and_findings():
    status, out, _ = run(SAMPLE)
    assert status == 0
    assert "back_stitches (stitches)" in out
    assert "checks.chest_near_target, size S" in out


@pytest.mark.parametrize(
    ("units", "row"),
    [("cm", "a (cm) 25.4 12.7 38.1"), ("in", "a (in) 10.00 5.00 15.00")],
)
def test_the_table_has_lengths_in_the_home_units(tmp_path, units, row):
    lengths = pattern_file(value("a", list=["10 in", "5 in", "15 in"]), home_units=units)
    _, out, _ = run(written(tmp_path, lengths))
    assert row.split() in [line.split() for line in out.splitlines()]


def test_a_stop_finding_is_status_1(tmp_path):
    status, out, _ = run(written(tmp_path, pattern_file(value("a", "nobody"))), "--json")
    assert status == 1
    assert json.loads(out)["values"]["a"]["worked"] == [None, None, None]


@pytest.mark.parametrize(
    ("data", "part"),
    [
        ("{", "not JSON"),
        (pattern_file(shoes=2), "“shoes” is not"),
        (pattern_file(value("a", list=[1, 2, 3])), "$.values[0].list[0]"),
    ],
)
def test_a_file_that_does_not_fit_is_status_2(tmp_path, data, part):
    status, out, err = run(written(tmp_path, data), "--json")
    assert (status, out) == (2, "")
    assert part in err


def test_a_file_that_is_not_there_or_no_text_is_status_2(tmp_path):
    assert run(tmp_path / "nothing.json")[0] == 2
    (tmp_path / "binary.json").write_bytes(b"\xff\xfe\x00")
    assert run(tmp_path / "binary.json")[0] == 2


def test_a_count_that_does_not_come_out_is_a_finding_and_gives_status_1(tmp_path):
    steps = ["Cast on 20 sts. Row 1: knit to the end. (21 sts)", "Row 2: K1, wimple 2, k to end. (20 sts)"]
    path = written(tmp_path, pattern_file(sizes=["M"], sections=[{"title": "Back", "steps": steps}]))
    status, out, _ = run(path, "--json")
    found = {one["where"]: one for one in json.loads(out)["findings"]}
    assert status == 1
    wrong, unread = found["sections[0].steps[0]"], found["sections[0].steps[1]"]
    assert (wrong["weight"], wrong["size"]) == ("stop", "M")
    assert "says 21, worked 20" in wrong["says"]
    assert unread["weight"] == "warn"
    assert "wimple" in unread["says"]
    assert "1 of 3 rows checked" not in run(path)[1]
    assert "2 of 3 rows checked." in run(path)[1]


def test_both_commands_say_what_makers_would_have_to_ask(tmp_path):
    """What stands before publishing is told by the commands as well: finishing, and a second front."""
    sections = [{"title": "Left front", "steps": ["Cast on 20 sts.", "Mark the left edge."]}]
    path = written(tmp_path, pattern_file(sizes=["M"], sections=sections))
    second = "“Left front” has no right front beside it"
    _, out, _ = run(path)
    assert "warn: sections: No step says what becomes of the ends" in out
    assert f"warn: sections[0]: {second}" in out
    told = StringIO()
    call_command("audit", str(path), stdout=told)
    assert "Instructions: warn. No step says how to block" in told.getvalue()
    assert f"Left front: warn. {second}" in told.getvalue()
    assert "Left front, step 2: warn. “left edge” can be read as worn or as seen" in told.getvalue()
