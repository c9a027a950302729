"""Options and settings of the whole test run."""

import os
from collections import Counter
from pathlib import Path

import pytest

os.environ.setdefault("EVENROW_DATA", str(Path(__file__).resolve().parents[1] / ".data" / "tests"))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--full", action="store_true", default=False, help="Run the heavy proofs in full.")


@pytest.fixture
def full(request: pytest.FixtureRequest) -> bool:
    """Whether the heavy proofs (kills, fuzzing, races) run in full."""
    return bool(request.config.getoption("--full"))


@pytest.fixture
def count_proof(record_property):
    """Call it with a name and a number: how often a heavy proof tried; the sums end the run's report."""
    return lambda name, number: record_property("proof", [name, number])


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say how often the heavy proofs tried; one that failed tells its numbers too."""
    counts: Counter[str] = Counter()
    for report in [*terminalreporter.getreports("passed"), *terminalreporter.getreports("failed")]:
        for name, value in report.user_properties:
            if name == "proof" and report.when == "call":
                counts[value[0]] += value[1]
    if counts:
        terminalreporter.section("heavy proofs")
    for name, number in sorted(counts.items()):
        terminalreporter.write_line(f"{name}: {number}")


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
