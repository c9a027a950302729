"""The same version and edition give the same bytes in another year, place, language and home."""

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from django.utils import timezone

from catalogue.editions.choices import home_choices
from catalogue.editions.editions import render_pdf
from catalogue.versions.records import canonical
from tests.catalogue.builders import make_pattern, make_record

pytestmark = [
    pytest.mark.django_db,
    pytest.mark.only_keeps_rows("an edition is made of its record alone; test_editions prints all samples"),
]


def made_elsewhere(record, choices, folder):
    """The year and the hash that a process in other surroundings tells."""
    written = folder / "record.json"
    written.write_text(canonical(record))
    surroundings = {
        "PATH": os.environ["PATH"],
        "PYTHONPATH": str(Path.cwd()),
        "PYTHONHASHSEED": "7",
        "DJANGO_SETTINGS_MODULE": "catalogue.site.settings",
        "EVENROW_DATA": str(folder / "data"),
        "HOME": str(folder),
        "LANG": "tr_TR.UTF-8",
        "LC_ALL": "C",
        "TZ": "Pacific/Apia",
    }
    program = Path(__file__).parents[1] / "another_year.py"
    done = subprocess.run(
        [sys.executable, str(program), str(written), json.dumps(choices)],
        capture_output=True,
        text=True,
        cwd=folder,
        env=surroundings,
    )
    assert done.returncode == 0, done.stderr
    year, digest = done.stdout.split()
    return int(year), digest


def test_an_edition_made_in_another_year_has_the_same_bytes(tmp_path):
    record = make_record(make_pattern("cinderfell_raglan"))
    choices = {**home_choices(record), "sizes": record["results"]["sizes"][0]}
    year, digest = made_elsewhere(record, choices, tmp_path)
    assert year >= timezone.now().year + 8
    assert digest == render_pdf(record=record, choices=choices).sha256
