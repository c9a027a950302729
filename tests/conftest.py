"""Options and settings of the whole test run."""

import gc
import os
import shutil
import sqlite3
import subprocess
import sys
from collections import Counter
from collections.abc import Generator
from contextlib import closing
from pathlib import Path

import pytest

from tests.kept_tables import django_db_setup, tables_taken, take_tables  # noqa: F401  fixtures

ROOT = Path(__file__).resolve().parents[1]
SETTINGS = "catalogue.site.settings"
LEFT_OUT = "tests that are the same on any database"
# Whoever takes one of these gets at the database of the run.
ASKS_FOR_THE_DATABASE = {"db", "transactional_db", "live_server", "django_db_setup"}
left_out = pytest.StashKey[int]()
os.environ.setdefault("EVENROW_DATA", str(ROOT / ".data" / "tests"))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--full", action="store_true", default=False, help="Run the heavy proofs in full.")
    parser.addoption(
        "--skip-any-database",
        action="store_true",
        default=False,
        help="Leave out what is the same on any database: what asks for none, what only keeps rows in it.",
    )


def asks_for_the_database(item: pytest.Item) -> bool:
    """Whether a test gets at the database of the run; pytest-django refuses it to all others."""
    asked = ASKS_FOR_THE_DATABASE.intersection(getattr(item, "fixturenames", ()))
    return bool(asked) or item.get_closest_marker("django_db") is not None


def is_same_on_any_database(item: pytest.Item) -> bool:
    """Whether a test shows the same on any database; one that only keeps rows in it says why."""
    keeps_rows = item.get_closest_marker("only_keeps_rows")
    if keeps_rows and not keeps_rows.args:
        raise pytest.UsageError(f"{item.nodeid} says that it only keeps rows, but not why.")
    return bool(keeps_rows) or not asks_for_the_database(item)


@pytest.hookimpl(wrapper=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is collected stays to the end: it is not looked through for garbage again and again."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what is the same on any database, where that is asked for, and keep count of it."""
    for item in items:
        if item.get_closest_marker("any_database") and asks_for_the_database(item):
            raise pytest.UsageError(f"{item.nodeid} uses the database, and can't be the same on any.")
    same = [item for item in items if is_same_on_any_database(item)]
    if config.getoption("--skip-any-database"):
        config.hook.pytest_deselected(items=same)
        out = set(same)
        items[:] = [item for item in items if item not in out]
        config.stash[left_out] = getattr(config, "workeroutput", {})[LEFT_OUT] = len(same)


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node):
    """Take over from a process of tests how many it left out; each has collected the same tests."""
    node.config.stash[left_out] = getattr(node, "workeroutput", {}).get(LEFT_OUT, 0)


@pytest.fixture
def full(request: pytest.FixtureRequest) -> bool:
    """Whether the heavy proofs (kills, fuzzing, races) run in full."""
    return bool(request.config.getoption("--full"))


@pytest.fixture
def count_proof(record_property):
    """Call it with a name and a number: how often a heavy proof tried; the sums end the run's report."""
    return lambda name, number: record_property("proof", [name, number])


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say what was left out, how often the heavy proofs tried (failed ones too), and what failed at first."""
    if number := terminalreporter.config.stash.get(left_out, 0):
        terminalreporter.section("left out")
        terminalreporter.write_line(f"{number} tests that are the same on any database")
    counts: Counter[str] = Counter()
    for report in [*terminalreporter.getreports("passed"), *terminalreporter.getreports("failed")]:
        for name, value in report.user_properties:
            if name == "proof" and report.when == "call":
                counts[value[0]] += value[1]
    if counts:
        terminalreporter.section("heavy proofs")
    for name, number in sorted(counts.items()):
        terminalreporter.write_line(f"{name}: {number}")
    for report in terminalreporter.getreports("rerun"):
        terminalreporter.section(f"failed, and was run once more: {report.nodeid}")
        terminalreporter.write_line(report.longreprtext)


@pytest.fixture(scope="session")
def tables_made(tmp_path_factory):
    """The data folder of an empty studio, made once for a process of tests: its tables take seconds."""
    folder = tmp_path_factory.mktemp("tables")
    with closing(sqlite3.connect(folder / "studio.sqlite3")) as database:
        take_tables(database)
    kept = {name: said for name, said in os.environ.items() if not name.startswith(("EVENROW", "DATABASE"))}
    command = [sys.executable, "-m", "django", "migrate", "--verbosity", "0"]
    own = {"EVENROW_DATA": str(folder), "PYTHONPATH": str(ROOT), "DJANGO_SETTINGS_MODULE": SETTINGS}
    subprocess.run(command, env={**kept, **own}, cwd=ROOT, check=True)
    with closing(sqlite3.connect(folder / "studio.sqlite3")) as database:
        database.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    return folder


@pytest.fixture
def studio_folder(tables_made, tmp_path):
    """A data folder of an empty studio, with its tables in a database of its own."""
    folder = tmp_path / "data"
    folder.mkdir(mode=0o700)
    shutil.copy(tables_made / "studio.sqlite3", folder)
    return folder


@pytest.fixture(autouse=True)
def _no_database_of_the_run(request, monkeypatch):
    """Who asks for no database fails where a program that it starts opens that of the run."""
    if not asks_for_the_database(request.node):
        monkeypatch.setenv("DATABASE_URL", "postgres://nobody@127.0.0.1:1/none")


@pytest.fixture(autouse=True)
def _connections_stay(monkeypatch):
    """Closing an answer that brings a file must not close the connection of the test's transaction."""
    from django.db.backends.base.base import BaseDatabaseWrapper

    close = BaseDatabaseWrapper.close_if_unusable_or_obsolete

    def close_unless_in_transaction(self):
        if not self.in_atomic_block:
            close(self)

    monkeypatch.setattr(BaseDatabaseWrapper, "close_if_unusable_or_obsolete", close_unless_in_transaction)


@pytest.fixture(autouse=True)
def _studio_for_tests(settings, tmp_path):
    from django.core.cache import cache

    # The counters that hold off too many attempts; in the database only where a test is about that.
    settings.CACHES = {"default": {"BACKEND": "django.core.cache.backends.locmem.LocMemCache"}}
    cache.clear()
    Path(settings.STATIC_ROOT).mkdir(parents=True, exist_ok=True)  # its absence is a warning
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.MAIL_DIR = tmp_path / "mails"
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    settings.TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}
    settings.EVEN_ANSWER_SECONDS = 0
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
