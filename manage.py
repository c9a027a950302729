#!/usr/bin/env python3
"""Runs the studio's commands; makes its own environment first where there is none.

Needs nothing but Python's standard library until the environment stands.
"""

from __future__ import annotations

import ctypes
import fcntl
import hashlib
import importlib.util
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import NoReturn

ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
STAMP = VENV / "evenrow-locks"
OLDEST, NEWEST = (3, 11), (3, 14)
COMMANDS_WITH_TEST_TOOLS = ("test", "check_all", "bench", "pictures")

# What WeasyPrint loads, and Debian's packages that hold it.
SYSTEM_LIBRARIES = {
    "libgobject-2.0.so.0": "libglib2.0-0",
    "libpango-1.0.so.0": "libpango-1.0-0",
    "libpangoft2-1.0.so.0": "libpangoft2-1.0-0",
    "libharfbuzz.so.0": "libharfbuzz0b",
    "libharfbuzz-subset.so.0": "libharfbuzz-subset0",
    "libfontconfig.so.1": "libfontconfig1",
}


def main(arguments: list[str]) -> None:
    """Run a command in the studio's own environment."""
    command = arguments[0] if arguments else "help"
    check_python()
    install_packages(missing_packages())
    lock = ROOT / ("requirements-test.lock" if command in COMMANDS_WITH_TEST_TOOLS else "requirements.lock")
    make_environment(lock)
    if Path(sys.prefix).resolve() != VENV.resolve():
        python = str(VENV / "bin" / "python")
        os.execv(python, [python, str(ROOT / "manage.py"), *arguments])
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "catalogue.site.settings")
    if command == "test":
        run_tests(arguments[1:])
    if command == "demo":
        move_to_demo_folder()
    run_command(arguments)


def check_python() -> None:
    """Stop with one line when this Python is too old or too new."""
    if not OLDEST <= sys.version_info[:2] <= NEWEST:
        stop(
            f"Evenrow needs Python {OLDEST[0]}.{OLDEST[1]} to {NEWEST[0]}.{NEWEST[1]}, "
            f"but this is {sys.version_info[0]}.{sys.version_info[1]}: run it with a matching python3."
        )


def missing_packages() -> list[str]:
    """Debian packages for what neither this Python nor the system has."""
    packages = [package for library, package in SYSTEM_LIBRARIES.items() if not can_load(library)]
    if importlib.util.find_spec("ensurepip") is None or importlib.util.find_spec("venv") is None:
        packages.append("python3-venv")
    return packages


def can_load(library: str) -> bool:
    """Whether the system has a shared library."""
    try:
        ctypes.CDLL(library)
    except OSError:
        return False
    return True


def install_packages(packages: list[str]) -> None:
    """Install what is missing where that is allowed, else say the one command that does."""
    if not packages:
        return
    names = " ".join(packages)
    if os.geteuid() != 0 or shutil.which("apt-get") is None:
        stop(f"System libraries are missing. Install them, then try again: sudo apt-get install -y {names}")
    print(f"Installing system libraries: {names}", flush=True)
    quiet = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    install = ["apt-get", "install", "-y", "-qq", "--no-install-recommends", *packages]
    for step in (["apt-get", "update", "-qq"], install):
        if subprocess.run(
            step, env=quiet, stdin=subprocess.DEVNULL, stdout=sys.stderr, check=False
        ).returncode:
            stop(f"The system libraries could not be installed. Try it by hand: apt-get install -y {names}")
    importlib.invalidate_caches()


def make_environment(lock: Path) -> None:
    """Bring `.venv` to what the lock file names; a half-made one is made anew.

    The stamp is written last, so that a run that was interrupted leaves none.
    """
    mark = f"{lock.name} {hashlib.sha256(lock.read_bytes()).hexdigest()}"
    if mark in read_stamp():
        return
    with (ROOT / ".venv.lock").open("w") as guard:
        fcntl.flock(guard, fcntl.LOCK_EX)
        stamp = read_stamp()
        if mark in stamp:  # another run was faster
            return
        print("Making the environment; the first time this takes about a minute.", flush=True)
        kept = [line for line in stamp if not line.startswith(f"{lock.name} ")]
        STAMP.unlink(missing_ok=True)
        if not stamp:
            run_step([sys.executable, "-m", "venv", "--clear", str(VENV)])
        pip = [str(VENV / "bin" / "python"), "-m", "pip"]
        run_step([*pip, *PIP_INSTALL, str(lock)])
        run_step([*pip, *PIP_CHECK])
        written = STAMP.with_suffix(".new")
        written.write_text("\n".join([python_mark(), *kept[1:], mark]) + "\n")
        written.replace(STAMP)


# The lock is complete, so nothing is resolved: pip 23 would look anew for a package wanted with an extra,
# find a release that came out after the lock and refuse it for its hash. What is missing shows in the check.
PIP_INSTALL = [
    "install", "-qq", "--disable-pip-version-check", "--no-input", "--require-hashes", "--no-deps", "-r",
]  # fmt: skip
PIP_CHECK = ["check", "--disable-pip-version-check"]


def python_mark() -> str:
    """Which Python the environment belongs to."""
    return f"python {sys.version_info[0]}.{sys.version_info[1]}"


def read_stamp() -> list[str]:
    """The locks that `.venv` fulfils; none when it is unfinished or was made by another Python."""
    lines = STAMP.read_text().splitlines() if STAMP.exists() else []
    return lines if lines[:1] == [python_mark()] else []


def run_step(command: list[str]) -> None:
    """Run a step of making the environment or stop with one line."""
    if subprocess.run(command, stdin=subprocess.DEVNULL, check=False).returncode:
        stop("The environment could not be made (see above); nothing is broken: run the same command again.")


def run_tests(arguments: list[str]) -> None:
    """Become pytest, on as many processes as there are processors, two to four, unless told otherwise."""
    os.chdir(ROOT)
    # Tests start the program hundreds of times, each process of them reads all tests: they are compiled once.
    os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
    processes = min(4, max(2, os.cpu_count() or 2))
    spread = [] if {"-n", "--pdb", "-s"} & set(arguments) else ["-n", str(processes), "--dist", "worksteal"]
    os.execv(sys.executable, [sys.executable, "-m", "pytest", *spread, *arguments])


def run_command(arguments: list[str]) -> None:
    """Run a command, or say in one line why the settings or the database are in its way."""
    from django.conf import settings
    from django.core.exceptions import ImproperlyConfigured
    from django.core.management import execute_from_command_line
    from django.db import DatabaseError, OperationalError, ProgrammingError

    try:
        settings.INSTALLED_APPS  # noqa: B018 reads all settings
        execute_from_command_line([str(ROOT / "manage.py"), *arguments])
    except ImproperlyConfigured as problem:
        stop(" ".join(str(problem).split()))
    except DatabaseError as problem:
        # Its other kinds are mistakes of the program, whose traceback is needed.
        is_unread = isinstance(problem, ProgrammingError) and "connection option" in str(problem)
        if type(problem) not in (DatabaseError, OperationalError) and not is_unread:
            raise
        from catalogue.site.data_folder import database_trouble

        stop(database_trouble(problem))


def move_to_demo_folder() -> None:
    """Keep the demo apart from a real studio: own folder, own database, no mail or file server."""
    for name in ("DATABASE_URL", "EVENROW_S3_URL", "EVENROW_SMTP_URL", "EVENROW_URL", "EVENROW_HOSTS"):
        os.environ.pop(name, None)
    if not os.environ.get("EVENROW_DATA", "").strip():
        os.environ["EVENROW_DATA"] = str(ROOT / ".data" / "demo")
    os.environ["EVENROW_DEMO"] = "1"


def stop(sentence: str) -> NoReturn:
    """End with one line."""
    print(sentence, file=sys.stderr)
    sys.exit(2)


if __name__ == "__main__":
    main(sys.argv[1:])
