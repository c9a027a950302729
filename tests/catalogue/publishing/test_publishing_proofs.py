"""Publishing under fire: killed at each step and at random moments, and two publishers at once."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.catalogue.builders import ROOT

pytestmark = pytest.mark.any_database

PROGRAM = Path(__file__).parents[1] / "publishers.py"
NAMED_POINTS = 19


def run(folder, *arguments):
    """Run real processes on a SQLite database of their own."""
    kept = {name: value for name, value in os.environ.items() if not name.startswith(("EVENROW", "DATABASE"))}
    environment = {
        **kept,
        "EVENROW_DATA": str(folder),
        "PYTHONPATH": str(ROOT),
        "DJANGO_SETTINGS_MODULE": "catalogue.site.settings",
    }
    done = subprocess.run(
        [sys.executable, str(PROGRAM), *map(str, arguments)],
        env=environment,
        cwd=ROOT,
        capture_output=True,
        text=True,
        timeout=3_000,
    )
    assert done.returncode == 0, done.stderr[-3_000:]
    return json.loads(done.stdout.splitlines()[-1])


def test_a_killed_publisher_leaves_no_half_version_and_loses_none(studio_folder, full, count_proof):
    randoms, reals = (290, 10) if full else (5, 1)
    told = run(studio_folder, "kills", NAMED_POINTS, randoms, reals)
    assert told["wrong"] == []
    assert told["kills"] == NAMED_POINTS + randoms + reals
    count_proof("publishers killed at named points", NAMED_POINTS)
    count_proof("publishers killed at random moments", randoms + reals)


def test_two_publishers_at_once_never_get_one_number(studio_folder, full, count_proof):
    rounds = 100 if full else 10
    told = run(studio_folder, "races", rounds)
    assert told["wrong"] == []
    assert told["versions"] == rounds
    count_proof("two publishers at once", rounds)


def test_a_backup_taken_while_a_version_is_published_is_whole_when_restored(studio_folder, full, count_proof):
    rounds = 20 if full else 3
    told = run(studio_folder, "backups", rounds)
    assert told["wrong"] == []
    assert told["files"] == sorted(told["files"])
    assert told["files"][-1] > 2, "something was published meanwhile"
    count_proof("backups taken while publishing", rounds)
