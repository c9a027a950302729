"""Contracts of the layers refuse what they are for: a forbidden import of each kind, planted in a copy."""

import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

pytestmark = pytest.mark.any_database

ROOT = Path(__file__).resolve().parents[2]
# Kind of import: the module that it is planted in, the line, and what it imports.
PLANTED = {
    "the core, a library": ("grading.core.formula.errors", "import django", "django"),
    "the core, stored sheets": (
        "grading.core.formula.literals",
        "from grading.models import Sheet",
        "grading.models",
    ),
    "the core, a higher room": (
        "grading.core.shaping.curves",
        "from grading.core.sheet import sheet",
        "grading.core.sheet.sheet",
    ),
    "grading, a higher room": (
        "grading.sheets.documents",
        "from grading.grid import grid",
        "grading.grid.grid",
    ),
    "grading, the catalogue": (
        "grading.sheets.differences",
        "from catalogue.models import Pattern",
        "catalogue.models",
    ),
    "grading, the root": (
        "grading.models",
        "import catalogue.site.settings",
        "catalogue.site.settings",
    ),
    "the catalogue, a higher room": (
        "catalogue.drafts.edits",
        "from catalogue.versions.records import canonical",
        "catalogue.versions.records",
    ),
    "the catalogue, a higher room within a function": (
        "catalogue.versions.records",
        "def planted():\n    from catalogue.errata import errata",
        "catalogue.errata.errata",
    ),
    "the catalogue, the test calls": (
        "catalogue.public.published",
        "from testing.models import TestCall",
        "testing.models",
    ),
    "addresses, the test calls": ("catalogue.urls", "import testing.urls", "testing.urls"),
    "a command, the test calls": (
        "catalogue.management.commands.publish",
        "from testing.places.places import PlaceRefused",
        "testing.places.places",
    ),
    "the catalogue, the root": (
        "catalogue.publishing.views",
        "from catalogue.site.settings import BASE_DIR",
        "catalogue.site.settings",
    ),
    "the catalogue's models, the root": (
        "catalogue.models.people",
        "from catalogue.site import errors",
        "catalogue.site.errors",
    ),
    "the test calls, a higher room": (
        "testing.places.places",
        "from testing.verdicts import fit",
        "testing.verdicts.fit",
    ),
    "the test calls, the root": (
        "testing.running.views",
        "from catalogue.site.backups import write_backup",
        "catalogue.site.backups",
    ),
}


def lint(house: Path) -> str:
    """What the tool says to a house in which something is forbidden."""
    tool = Path(sys.executable).with_name("lint-imports")
    command = [str(tool), "--no-cache", "--config", "pyproject.toml"]
    done = subprocess.run(command, cwd=house, capture_output=True, text=True, check=False)
    assert done.returncode == 1, done.stdout + done.stderr
    return done.stdout


@pytest.fixture(scope="module")
def said(tmp_path_factory):
    """What the tool says to a copy with all the planted imports at once, and a room of no contract."""
    house = tmp_path_factory.mktemp("house")
    shutil.copy(ROOT / "pyproject.toml", house)
    for part in ("grading", "catalogue", "testing"):
        shutil.copytree(ROOT / part, house / part, ignore=left_out)
    for module, line, _ in PLANTED.values():
        path = house / (module.replace(".", "/") + ".py")
        path.write_text(f"{path.read_text(encoding='utf-8')}\n\n{line}\n", encoding="utf-8")
    (house / "catalogue" / "attic").mkdir()
    (house / "catalogue" / "attic" / "__init__.py").write_text('"""A room that no contract names."""\n')
    return lint(house)


def left_out(folder: str, names: list[str]) -> list[str]:
    """What a copy of the modules needs not."""
    return [one for one in names if not (one.endswith(".py") or Path(folder, one).is_dir())]


@pytest.mark.parametrize("kind", PLANTED)
def test_a_planted_import_of_each_forbidden_kind_is_refused_by_name(said, kind):
    module, _, imported = PLANTED[kind]
    assert re.search(rf"^\W*{re.escape(module)} -> {re.escape(imported)} \(", said, re.MULTILINE), said


def test_a_room_that_no_contract_names_is_refused(said):
    assert re.search(r"^\W*catalogue\.attic\W*$|\battic\b", said, re.MULTILINE), said
