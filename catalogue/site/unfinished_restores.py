"""A backup that is being put back leaves a note beside the data, so that one that was cut short is known.

Killed in the middle, a studio may have files of the backup and no rows, or rows of people who had themselves
erased since. It is not opened then, and the same backup is put back once more.
"""

import json
import os
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from django.conf import settings

from catalogue.studio.storage import UNFINISHED

NOTE = "restoring"


@dataclass(frozen=True)
class CutShort:
    """Which backup was being put back: where it was, and what its list of contents hashes to."""

    path: str
    sha256: str


def note_path() -> Path:
    """Where the note lies."""
    return Path(settings.DATA_DIR) / NOTE


def cut_short() -> CutShort | None:
    """The backup whose putting back was cut short, if one was."""
    try:
        told = json.loads(note_path().read_bytes())
        return CutShort(str(told["path"]), str(told["sha256"]))
    except FileNotFoundError:
        return None
    except (OSError, ValueError, LookupError, TypeError):
        return CutShort("a backup", "")


def note_begun(begun: CutShort) -> None:
    """Write the note, whole or not at all.

    Raises:
        OSError: There is no room for it.
    """
    unfinished = note_path().with_name(NOTE + UNFINISHED)
    try:
        with unfinished.open("w") as target:
            json.dump({"path": begun.path, "sha256": begun.sha256}, target)
            target.flush()
            os.fsync(target.fileno())
        unfinished.replace(note_path())
    finally:
        with suppress(OSError):
            unfinished.unlink(missing_ok=True)


def note_ended() -> None:
    """Take the note away: all is in place, or as it was before."""
    note_path().unlink(missing_ok=True)
