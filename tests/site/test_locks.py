"""The locks are complete, and are installed as they stand, whatever has come out since they were made."""

import os
import re
import tomllib
from importlib.metadata import distribution, distributions

import pytest
from packaging.markers import default_environment
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.site.empty_wheels import copied_wants, make_index, make_wheel
from tests.site.manage_program import ROOT, load_manage

pytestmark = pytest.mark.any_database

LOCKS = ("requirements.lock", "requirements-test.lock")
PYTHONS = ("3.11", "3.12", "3.13", "3.14")  # those that manage.py takes
NEWER = "9999"
OF_THE_ENVIRONMENT = ("pip", "setuptools")  # an empty one could install nothing any more


def locked(lock):
    """The version of each package that a lock names."""
    lines = re.findall(r"^([A-Za-z0-9._-]+)==([^\s;\\]+)", (ROOT / lock).read_text(), re.MULTILINE)
    return {canonicalize_name(name): version for name, version in lines}


def wanted(lock, python):
    """Every wish, from what the project itself asks for on, followed with the extras it is made with."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text())["project"]
    asked = list(project["dependencies"])
    if lock == "requirements-test.lock":
        asked += project["optional-dependencies"]["test"]
    where = {**default_environment(), "python_version": python, "python_full_version": f"{python}.0"}
    seen: set[tuple[str, str]] = set()
    left = [Requirement(line) for line in asked]
    while left:
        one = left.pop()
        yield one
        for extra in {"", *one.extras} - {extra for name, extra in seen if name == one.name}:
            seen.add((one.name, extra))
            lines = [Requirement(line) for line in distribution(one.name).requires or []]
            left += [
                line for line in lines if not line.marker or line.marker.evaluate({**where, "extra": extra})
            ]


def wanted_with_extras(lock):
    return {canonicalize_name(one.name) for one in wanted(lock, "3.11") if one.extras}


@pytest.mark.parametrize("python", PYTHONS)
@pytest.mark.parametrize("lock", LOCKS)
def test_a_lock_holds_all_that_its_packages_want_extras_included(lock, python):
    versions, missing = locked(lock), []
    for one in wanted(lock, python):
        version = versions.get(canonicalize_name(one.name))
        if version is None or not one.specifier.contains(version, prereleases=True):
            missing.append(f"{one} (locked: {version})")
    assert missing == []


def test_packages_wanted_with_an_extra_are_found():
    """Otherwise the test below would try nothing."""
    assert wanted_with_extras(LOCKS[0]) >= {"fonttools", "psycopg", "django-allauth", "django-storages"}
    assert wanted_with_extras(LOCKS[1]) > wanted_with_extras(LOCKS[0])
    assert "coverage" in wanted_with_extras(LOCKS[1])


def without_tools(versions):
    """What was mirrored: all but what the environment brings."""
    return {name: version for name, version in versions.items() if name not in OF_THE_ENVIRONMENT}


def mirror_locks(folder):
    """Both locks once more, of empty wheels that want the same; and an index that has newer releases too."""
    wheels = folder / "wheels"
    wheels.mkdir()
    hashes: dict[str, str] = {}
    renewed = wanted_with_extras(LOCKS[1])
    for lock in LOCKS:
        lines = []
        for name, version in without_tools(locked(lock)).items():
            wants = copied_wants(name)
            if name not in hashes:
                hashes[name] = make_wheel(wheels, name, version, wants)
                if name in renewed:
                    make_wheel(wheels, name, NEWER, wants)
            lines.append(f"{name}=={version} --hash={hashes[name]}\n")
        (folder / lock).write_text("".join(lines))
    return make_index(folder / "index", wheels)


@pytest.fixture
def manage(tmp_path, monkeypatch):
    """The program, at work in a folder where pip asks the mirrored index and nobody else."""
    for name in [name for name in os.environ if name.startswith("PIP_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("PIP_CONFIG_FILE", os.devnull)
    monkeypatch.setenv("PIP_INDEX_URL", mirror_locks(tmp_path))
    monkeypatch.setenv("PIP_NO_COMPILE", "1")
    monkeypatch.setenv("PIP_LOG", str(tmp_path / "pip.log"))
    manage = load_manage()
    manage.ROOT, manage.VENV = tmp_path, tmp_path / ".venv"
    manage.STAMP = manage.VENV / "evenrow-locks"
    return manage


def test_newer_releases_change_nothing_and_nothing_is_resolved(manage):
    for lock in LOCKS:  # as after `demo` and then `test`
        manage.make_environment(manage.ROOT / lock)
        (packages,) = manage.VENV.glob("lib/python*/site-packages")
        found = {canonicalize_name(one.name): one.version for one in distributions(path=[str(packages)])}
        assert without_tools(found) == without_tools(locked(lock))
    log = (manage.ROOT / "pip.log").read_text()
    looked_at = re.findall(r"Processing \S+/(\S+)-(\S+?)-py3-none-any\.whl", log)
    assert sorted(looked_at) == sorted(
        (name.replace("-", "_"), version) for name, version in without_tools(locked(LOCKS[1])).items()
    )
