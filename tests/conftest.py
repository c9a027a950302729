"""Options and settings of the whole test run."""

import os
from pathlib import Path

import pytest

os.environ.setdefault("EVENROW_DATA", str(Path(__file__).resolve().parents[1] / ".data" / "tests"))


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption("--full", action="store_true", default=False, help="Run the heavy proofs in full.")


@pytest.fixture
def full(request: pytest.FixtureRequest) -> bool:
    """Whether the heavy proofs (kills, fuzzing, races) run in full."""
    return bool(request.config.getoption("--full"))


@pytest.fixture(autouse=True)
def _studio_for_tests(settings, tmp_path, monkeypatch):
    settings.MEDIA_ROOT = tmp_path / "files"
    settings.STATIC_ROOT = tmp_path
    settings.EMAIL_BACKEND = "django.core.mail.backends.locmem.EmailBackend"
    settings.STORAGES = {
        **settings.STORAGES,
        "staticfiles": {"BACKEND": "django.contrib.staticfiles.storage.StaticFilesStorage"},
    }
    settings.TASKS = {"default": {"BACKEND": "django_tasks.backends.immediate.ImmediateBackend"}}
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
