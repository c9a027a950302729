"""Runs every check of the code but the tests."""

import os
import secrets
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

_PACKAGES = ["grading", "catalogue", "testing", "tests", "manage.py"]


class Command(BaseCommand):
    """Prints each check as a command that can be run by itself, then runs it."""

    help = (
        "Run every check of the code: format, lint, types, layers, templates, styles and scripts, "
        "migrations, libraries, deployment."
    )
    requires_system_checks = ()

    def handle(self, *args: Any, **options: Any) -> None:
        """Run all, then name those that failed."""
        if "lint of styles" not in dict(checks()):
            self.stdout.write("Left out: lint of styles. Its tool is for Linux on x86-64 only.")
        failed = [name for name, command in checks() if not self._passes(command)]
        if failed:
            raise CommandError(f"Not clean: {', '.join(failed)}.")
        self.stdout.write("All checks are clean.")

    def _passes(self, command: list[str]) -> bool:
        """Whether a check is clean."""
        shown = " ".join(part for part in command if not part.endswith((".html", ".css", ".js")))
        self.stdout.write(f"$ {shown.replace(f'{settings.BASE_DIR}/', '')}")
        self.stdout.flush()
        with tempfile.TemporaryDirectory() as folder:
            result = subprocess.run(  # noqa: S603  our own list
                command, cwd=settings.BASE_DIR, env=_environment(command, folder), check=False
            )
        return result.returncode == 0


def checks() -> Iterator[tuple[str, list[str]]]:
    """Every check with its name."""
    tools = Path(sys.executable).parent
    templates = sorted(str(path) for path in (settings.BASE_DIR / "templates").rglob("*.html"))
    yield "format", [str(tools / "ruff"), "format", "--check", "."]
    yield "lint", [str(tools / "ruff"), "check", "."]
    yield "types", [str(tools / "mypy"), *_PACKAGES]
    yield "layers", [str(tools / "lint-imports")]
    yield "templates", [str(tools / "djade"), "--target-version", "5.2", "--check", *templates]
    settled = [str(tools / "oxfmt"), "--config", ".ci/oxfmt.json", "--disable-nested-config", "--check"]
    yield "format of styles and scripts", [*settled, *_own_files("css", "js")]
    strict = [str(tools / "oxlint"), "--config", ".ci/oxlint.json", "--deny-warnings"]
    yield "lint of scripts", [*strict, *_own_files("js")]
    linter = tools / "biome"
    if linter.exists():
        wary = [str(linter), "lint", "--config-path=.ci/biome.jsonc", "--error-on-warnings"]
        yield "lint of styles", [*wary, *_own_files("css")]
    yield "migrations", [sys.executable, "manage.py", "makemigrations", "--check", "--dry-run"]
    yield "libraries", [sys.executable, "manage.py", "auditlibraries"]
    yield "deployment", [sys.executable, "manage.py", "check", "--deploy", "--fail-level", "WARNING"]


def _own_files(*endings: str) -> list[str]:
    """The project's own files of these kinds that browsers and the renderer get; not those of others."""
    folders = [settings.BASE_DIR / "templates", settings.BASE_DIR / "catalogue" / "site" / "static" / "site"]
    return sorted(str(path) for folder in folders for end in endings for path in folder.rglob(f"*.{end}"))


def _environment(command: list[str], folder: str) -> dict[str, str]:
    """The deployment is checked as it would be at a studio's own address, the rest as it is here."""
    if "--deploy" not in command:
        return {**os.environ}
    return {
        **os.environ,
        "EVENROW_URL": "https://studio.example",
        "EVENROW_SECRET_KEY": secrets.token_urlsafe(50),
        "EVENROW_DATA": folder,
    }
