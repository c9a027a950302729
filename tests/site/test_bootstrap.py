"""The first command on a machine with nothing but Python: what it makes, heals and says."""

import os
import shutil
import subprocess
import sys
import time

import pytest

from tests.site.manage_program import ROOT, load_manage

pytestmark = pytest.mark.any_database

REPORT = "import sys; print('pytest got', sys.argv[1:], 'in', sys.prefix)"


def make_copy(folder):
    """A copy whose lock asks for nothing and whose test tool only reports."""
    shutil.copy(ROOT / "manage.py", folder)
    (folder / "requirements-test.lock").write_text("# nothing\n")
    (folder / "pytest.py").write_text(REPORT)
    return folder


@pytest.fixture
def copy(tmp_path):
    return make_copy(tmp_path)


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    """A copy after its first run, and what that said."""
    folder = make_copy(tmp_path_factory.mktemp("made"))
    return folder, *run(folder, "-n", "0")


def start(copy, *arguments):
    command = [sys.executable, str(copy / "manage.py"), "test", *arguments]
    return subprocess.Popen(
        command, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True
    )


def run(copy, *arguments):
    process = start(copy, *arguments)
    return process.communicate(timeout=120)[0], process.returncode


def test_the_first_run_makes_the_environment_and_the_second_starts_at_once(made):
    copy, said, code = made
    assert code == 0
    assert "Making the environment" in said
    assert f"pytest got ['-n', '0'] in {copy / '.venv'}" in said
    began = time.monotonic()
    said, code = run(copy)
    assert "Making" not in said
    assert "pytest got ['-n', '2', '--dist', 'worksteal']" in said
    assert time.monotonic() - began < 5


def test_a_changed_lock_is_followed(made):
    copy = made[0]
    (copy / "requirements-test.lock").write_text("# nothing still\n")
    assert "Making the environment" in run(copy)[0]
    assert "Making the environment" not in run(copy)[0]


def test_an_interrupted_first_run_heals_at_the_next(made):
    copy = made[0]
    (copy / ".venv" / "evenrow-locks").unlink()  # the stamp is written last: without it nothing is trusted
    shutil.rmtree(copy / ".venv" / "lib")
    said, code = run(copy)
    assert code == 0
    assert "Making the environment" in said
    assert "pytest got" in said


def test_a_killed_first_run_heals_at_the_next(copy):
    first = start(copy)
    while not (copy / ".venv" / "bin").exists():
        time.sleep(0.01)
        assert first.poll() is None
    first.kill()
    first.wait()
    first.stdout.close()
    said, code = run(copy)
    assert code == 0, said
    assert "pytest got" in said


def test_two_first_runs_at_once_make_one_environment(copy):
    both = [start(copy), start(copy)]
    said = [process.communicate(timeout=120)[0] for process in both]
    assert [process.returncode for process in both] == [0, 0]
    assert sum("Making the environment" in text for text in said) == 1
    assert all("pytest got" in text for text in said)


def test_a_lock_that_cannot_be_followed_ends_in_one_line(copy):
    (copy / "requirements-test.lock").write_text("== no package at all\n")
    said, code = run(copy)
    assert code == 2
    assert said.splitlines()[-1].startswith("The environment could not be made")
    assert not (copy / ".venv" / "evenrow-locks").exists()


@pytest.mark.parametrize("version", [(3, 10), (3, 15)])
def test_another_python_is_named_in_one_line(monkeypatch, capsys, version):
    manage = load_manage()
    monkeypatch.setattr(manage.sys, "version_info", (*version, 0))
    with pytest.raises(SystemExit) as stopped:
        manage.check_python()
    said = capsys.readouterr().err
    assert stopped.value.code == 2
    assert said.count("\n") == 1
    assert "3.11 to 3.14" in said


def test_a_missing_library_gives_one_exact_command(monkeypatch, capsys):
    manage = load_manage()
    monkeypatch.setattr(manage, "SYSTEM_LIBRARIES", {"libno-such.so.0": "libno-such0"})
    monkeypatch.setattr(os, "geteuid", lambda: 1000)
    with pytest.raises(SystemExit) as stopped:
        manage.install_packages(manage.missing_packages())
    assert stopped.value.code == 2
    assert capsys.readouterr().err.endswith("sudo apt-get install -y libno-such0\n")


def test_a_missing_library_is_installed_where_that_is_allowed(monkeypatch):
    manage = load_manage()
    steps = []

    def run(step, **_):
        steps.append(step)
        return subprocess.CompletedProcess(step, 0)

    monkeypatch.setattr(os, "geteuid", lambda: 0)
    monkeypatch.setattr(manage.shutil, "which", lambda name: f"/usr/bin/{name}")
    monkeypatch.setattr(manage.subprocess, "run", run)
    manage.install_packages(["libno-such0"])
    assert steps[0][:2] == ["apt-get", "update"]
    assert steps[1][-1] == "libno-such0"


def test_what_the_pdf_maker_loads_is_looked_for(monkeypatch):
    manage = load_manage()
    assert manage.missing_packages() == []
    monkeypatch.setattr(manage, "can_load", lambda library: "pango-" not in library)
    assert manage.missing_packages() == ["libpango-1.0-0"]


def test_the_demo_keeps_away_from_a_real_studio(monkeypatch):
    manage = load_manage()
    monkeypatch.setenv("DATABASE_URL", "postgres://studio.example/real")
    monkeypatch.setenv("EVENROW_SMTP_URL", "smtp://mail.studio.example")
    monkeypatch.delenv("EVENROW_DATA", raising=False)
    monkeypatch.setenv("EVENROW_DEMO", "0")
    manage.move_to_demo_folder()
    assert "DATABASE_URL" not in os.environ
    assert "EVENROW_SMTP_URL" not in os.environ
    assert os.environ["EVENROW_DATA"].endswith(".data/demo")
