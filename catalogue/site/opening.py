"""What all ways of opening a studio do before server and worker start."""

import hashlib
import os
import warnings
from collections.abc import Iterator
from pathlib import Path

from django.conf import settings
from django.contrib.staticfiles.finders import get_finders
from django.core.exceptions import ImproperlyConfigured
from django.core.management import call_command
from django.urls import reverse

from catalogue.studio.people import make_setup_key
from catalogue.studio.public_address import public_address


def take_address(address: str) -> None:
    """Where the server listens: links begin with it, here and in server and worker, without a better one."""
    os.environ["EVENROW_LOCAL_URL"] = settings.LOCAL_URL = address


def admit_visitors() -> None:
    """Have the server that is started next answer at the address that the studio's settings say."""
    os.environ["EVENROW_KEPT_URL"] = "" if settings.STUDIO_URL else public_address()


def words_for_first_designer() -> str:
    """Where the first designer opens the studio, once; nothing where there is a designer."""
    key = make_setup_key()
    if not key:
        return ""
    address = f"{settings.STUDIO_URL or settings.LOCAL_URL}{reverse('setup', args=[key])}"
    return f"There is no designer yet. Open the studio at this one-time address:\n{address}"


def prepare() -> None:
    """Bring database and static files up to date."""
    call_command("migrate", interactive=False, verbosity=0)
    stamp = Path(settings.STATIC_ROOT) / "collected"
    mark = hashlib.sha256("\n".join(_static_files()).encode()).hexdigest()
    try:
        if stamp.exists() and stamp.read_text() == mark:
            return
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", UserWarning)
            call_command("collectstatic", interactive=False, verbosity=0)
        stamp.write_text(mark)
    except OSError as problem:
        raise ImproperlyConfigured(
            f"The files of the pages can't be written to {settings.STATIC_ROOT} "
            f"({problem.strerror or problem}): see that it may be written to, or choose another folder with "
            "EVENROW_STATIC."
        ) from None


def _static_files() -> Iterator[str]:
    """Every static file with its size and time: while they stay, there is nothing to collect."""
    for finder in get_finders():
        for name, storage in finder.list([]):
            about = Path(storage.path(name)).stat()
            yield f"{name} {about.st_size} {about.st_mtime_ns}"
