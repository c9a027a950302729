"""Asks the public list of known weaknesses about the libraries of the lock files."""

import http.client
import json
import re
import urllib.request
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError, CommandParser

# Open Source Vulnerabilities: many questions in one request, answered in their order.
LIST = "https://api.osv.dev/v1/querybatch"
LOCKS = ("requirements.lock", "requirements-test.lock")
PATIENCE_SECONDS = 20
_PINNED = re.compile(r"^([A-Za-z0-9._-]+)(?:\[[^\]]*\])?==([^\s;\\]+)", re.MULTILINE)


class Command(BaseCommand):
    """Names libraries with a known weakness; where the list can't be reached, it says so and passes."""

    help = "Check the libraries of the lock files against the public list of known weaknesses."
    requires_system_checks = ()

    def add_arguments(self, parser: CommandParser) -> None:
        """Where the list is."""
        parser.add_argument("--list", default=LIST, help="Address of the list (default: %(default)s).")

    def handle(self, *args: Any, **options: Any) -> None:
        """Ask, then name what is known."""
        pinned = sorted(set(pinned_libraries()))
        try:
            answers = _ask(options["list"], pinned)
        except OSError as problem:
            reason = getattr(problem, "reason", problem)
            self.stdout.write(f"Left out: the list of known weaknesses can’t be reached ({reason}).")
            return
        except (ValueError, KeyError, TypeError, http.client.HTTPException):
            self.stdout.write("Left out: the list of known weaknesses answers in another form.")
            return
        found = [
            f"{name} {version}: {', '.join(weak)}"
            for (name, version), weak in zip(pinned, answers, strict=True)
            if weak
        ]
        if found:
            raise CommandError("Known weaknesses, take a newer release:\n" + "\n".join(found))
        self.stdout.write(f"No weakness is known of {len(pinned)} libraries.")


def pinned_libraries() -> Iterator[tuple[str, str]]:
    """Name and release of each library that the lock files name."""
    for name in LOCKS:
        yield from _PINNED.findall((Path(settings.BASE_DIR) / name).read_text())


def _ask(address: str, pinned: list[tuple[str, str]]) -> list[list[str]]:
    """The names of the known weaknesses of each library."""
    queries = [
        {"package": {"name": name, "ecosystem": "PyPI"}, "version": version} for name, version in pinned
    ]
    asked = urllib.request.Request(  # noqa: S310 our own list, or one that the developer names
        address, json.dumps({"queries": queries}).encode(), {"Content-Type": "application/json"}
    )
    with urllib.request.urlopen(asked, timeout=PATIENCE_SECONDS) as answer:  # noqa: S310
        results = json.load(answer)["results"]
    if len(results) != len(pinned):
        raise ValueError("not an answer to each question")
    return [[one["id"] for one in result.get("vulns", [])] for result in results]
