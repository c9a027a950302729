"""What both ways of opening a studio do before server and worker start."""

import hashlib
import os
import warnings
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.management import call_command


def take_address(address: str) -> None:
    """Without a public address the studio is where its server listens: for us and for server and worker."""
    if "EVENROW_URL" not in os.environ:
        os.environ["EVENROW_URL"] = settings.STUDIO_URL = address


def prepare() -> None:
    """Bring database and static files up to date."""
    call_command("migrate", interactive=False, verbosity=0)
    stamp = Path(settings.STATIC_ROOT) / "collected"
    mark = hashlib.sha256("\n".join(_static_files()).encode()).hexdigest()
    if stamp.exists() and stamp.read_text() == mark:
        return
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", UserWarning)
        call_command("collectstatic", interactive=False, verbosity=0)
    stamp.write_text(mark)


def _static_files() -> Iterator[str]:
    """Every static file with its size and time: while they stay, there is nothing to collect."""
    for finder in get_finders():
        for name, storage in finder.list([]):
            about = Path(storage.path(name)).stat()
            yield f"{name} {about.st_size} {about.st_mtime_ns}"
