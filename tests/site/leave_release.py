"""Leaves the backup by which later programs are tried: a small studio with something of all that there is.

Run as a program before a release: `python -m tests.site.leave_release tests/data/releases/2027-03.zip`, with
EVENROW_DATA naming an empty folder. What a release has left stays as it is.
"""

import sys
import zipfile
from pathlib import Path

import django

django.setup()

from django.core.management import call_command  # noqa: E402
from django.test import override_settings  # noqa: E402

from catalogue.site import demo_pictures  # noqa: E402
from catalogue.site.backup_files import SECRET  # noqa: E402
from catalogue.site.backups import write_backup  # noqa: E402
from catalogue.site.demo_studio import build  # noqa: E402
from tests.catalogue.publishers import print_with, quick_press  # noqa: E402
from tests.site.kept_world import IN_MEMORY  # noqa: E402

SMALL = (240, 180)
draw = demo_pictures.draw_as_worn


def draw_small(document, look, place):
    """The pictures of the demo, small."""
    picture = draw(document, look, place)
    picture.thumbnail(SMALL)
    return picture


def leave(path):
    """Make the demo with small files, and keep it without a key that opens anything."""
    demo_pictures.draw_as_worn = draw_small
    print_with(quick_press)
    call_command("migrate", verbosity=0)
    with override_settings(**IN_MEMORY):
        build()
    call_command("verify")
    whole = path.with_suffix(".whole")
    write_backup(whole)
    with zipfile.ZipFile(whole) as old, zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            if name != SECRET:
                new.writestr(name, old.read(name))
    whole.unlink()


if __name__ == "__main__":
    leave(Path(sys.argv[1]))
