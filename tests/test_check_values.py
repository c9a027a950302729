"""The values from outside: where they come from, and how many of them the tests hold the code to."""

import os
import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from tests.check_values import FOLDER, LOG, check_values

TESTS = Path(__file__).parent
GROUPS = sorted(path.stem for path in FOLDER.glob("*.json"))
WANTED_GROUPS = {
    "1-units",
    "2-tool-sizes",
    "2-yarn-weight",
    "3-body-tables",
    "4-terms",
    "5-shaping",
    "6-pickup",
    "7-yarn",
    "8-statistics",
    "9-assignment",
    "10-colour",
    "11-body-data",
    "12-safety",
}


@pytest.mark.parametrize("group", GROUPS)
def test_every_entry_says_where_it_is_from_and_how_sure_it_is(group):
    for name, entry in check_values(group).items():
        assert {"value", "source", "status"} <= set(entry), name
        assert entry["source"], name
        assert entry["status"], name


def test_every_group_is_there():
    assert set(GROUPS) == WANTED_GROUPS


@pytest.fixture(scope="module")
def asserted(tmp_path_factory):
    """Which entries the tests look up: those tests are run once more by themselves, and must pass."""
    log = tmp_path_factory.mktemp("check_values") / "log"
    modules = [
        str(path)
        for path in sorted(TESTS.rglob("test_*.py"))
        if "tests.check_values import" in path.read_text("utf-8")
        and path.name != Path(__file__).name
        and path.parent.name not in ("browser", "site")
    ]
    command = [sys.executable, "-m", "pytest", "-q", "-p", "no:cacheprovider", "-p", "no:cov", *modules]
    environment = {**os.environ, LOG: str(log)}
    done = subprocess.run(command, cwd=TESTS.parent, env=environment, capture_output=True, check=False)
    assert done.returncode == 0, done.stdout.decode()[-2000:]
    return {tuple(line.split("\t")) for line in log.read_text("utf-8").splitlines()}


def test_at_least_150_entries_of_all_groups_are_asserted(asserted, count_proof):
    counts = Counter(group for group, _ in asserted)
    for group in GROUPS:
        count_proof(f"check values asserted, {group}", counts[group])
    assert set(counts) == WANTED_GROUPS
    assert sum(counts.values()) >= 150


def test_no_entry_lies_idle(asserted):
    stored = {(group, name) for group in GROUPS for name in check_values(group)}
    assert stored - asserted == set()
