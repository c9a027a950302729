"""Asks the renderer for editions: one warm process beside this one, two at once, each with limits."""

import atexit
import json
import os
import select
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any, cast

from django.conf import settings

from catalogue.editions.choices import home_choices
from catalogue.editions.ingredients import EditionFailed, RenderedPdf, stored_photo
from catalogue.models import Version
from catalogue.models.edition_choices import Choices
from catalogue.studio.out_of_reach import FilesOutOfReach
from catalogue.studio.temporary_folders import RENDERING, HeldFolder, held_folder, make_folder
from catalogue.versions.frozen_helps import record_pictures
from catalogue.versions.records import read_record

SECONDS = 120.0
MEMORY_MIB = 700
# The renderer ends an edition that is over its time; one that says nothing this much later hangs itself.
GRACE_SECONDS = 30.0
WARM_SECONDS = 120.0


@dataclass(frozen=True)
class Rendered:
    """One edition asked for: what was made, or why it was not."""

    place: int
    pdf: RenderedPdf | None
    says: str = ""
    peak_mib: float = 0.0


class _Renderer:
    """The process, started when it is first needed and again when it has gone."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.process: subprocess.Popen[bytes] | None = None
        self.unread = b""
        self.folder: HeldFolder | None = None
        self.owner = 0

    def ask(self, jobs: Sequence[dict[str, Any]]) -> Iterator[dict[str, Any]]:
        """Hand jobs over and give each answer as it comes."""
        process = self._running()
        asked = cast("IO[bytes]", process.stdin)
        for job in jobs:
            asked.write(json.dumps(job).encode() + b"\n")
        asked.flush()
        seconds = max((job["seconds"] for job in jobs), default=0.0) + GRACE_SECONDS
        for _ in jobs:
            line = self._read_line(process, seconds)
            if not line:
                raise EditionFailed("The renderer ended before its time: try again.")
            yield json.loads(line)

    def _read_line(self, process: subprocess.Popen[bytes], seconds: float) -> bytes:
        """The next answer; nothing when the process has ended.

        Raises:
            EditionFailed: It says nothing in this time.
        """
        answered = cast("IO[bytes]", process.stdout).fileno()
        until = time.monotonic() + seconds
        while b"\n" not in self.unread:
            ready, _, _ = select.select([answered], [], [], max(0.0, until - time.monotonic()))
            if not ready:
                raise EditionFailed("The renderer did not answer in time, so it is ended: try again.")
            part = os.read(answered, 65_536)
            if not part:
                return b""
            self.unread += part
        line, _, self.unread = self.unread.partition(b"\n")
        return line

    def end(self) -> None:
        """End the process with its children; also after a batch that was not read to its end."""
        if self.process is not None and self.owner == os.getpid():
            with suppress(ProcessLookupError):
                os.killpg(self.process.pid, signal.SIGKILL)
            for stream in (self.process.stdin, self.process.stdout):
                with suppress(OSError):
                    stream.close()  # type: ignore[union-attr]
            self.process.wait()
            if self.folder is not None:
                self.folder.remove()
        self.process, self.folder, self.unread = None, None, b""

    def _running(self) -> subprocess.Popen[bytes]:
        """The process, warm; one of a parent before a fork is not ours."""
        if self.process is None or self.owner != os.getpid() or self.process.poll() is not None:
            self.end()
            self.process, self.owner = self._start(), os.getpid()
        return self.process

    def _start(self) -> subprocess.Popen[bytes]:
        """Start and wait until it is warm; what it unpacks for its own use goes with it."""
        self.folder = make_folder(RENDERING)
        try:
            process = subprocess.Popen(
                [sys.executable, "-m", "catalogue.editions.rendering_process"],
                cwd=settings.BASE_DIR,
                env={**os.environ, "TMPDIR": str(self.folder.path)},
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
                process_group=0,  # its children end with it
            )
        except OSError:
            self.folder.remove()
            self.folder = None
            raise
        self.process, self.owner, self.unread = process, os.getpid(), b""
        try:
            is_warm = self._read_line(process, WARM_SECONDS)
        except EditionFailed:
            is_warm = b""
        if not is_warm:
            self.end()
            raise EditionFailed("The renderer did not start: the installation is incomplete.")
        return process


_RENDERER = _Renderer()
atexit.register(_RENDERER.end)


def render_editions(
    *, record: str, wanted: Sequence[Choices], copy_for: str = "", seconds: float = SECONDS
) -> Iterator[Rendered]:
    """Make editions of one frozen record, in the order in which they become ready.

    Raises:
        EditionFailed: The renderer itself can't work: no room, no photo, no process.
        FilesOutOfReach: The photos can't be had.
    """
    with _RENDERER.lock, _job_folder(record) as folder:
        jobs = [_job(folder, place, choices, copy_for, seconds) for place, choices in enumerate(wanted)]
        notes = {job["note"]: place for place, job in enumerate(jobs)}
        is_done = False
        try:
            for answer in _RENDERER.ask(jobs):
                place = notes[answer.pop("note")]
                yield _rendered(place, jobs[place], answer)
            is_done = True
        except OSError as problem:
            raise EditionFailed(f"The renderer can't work: {problem.strerror or problem}.") from None
        finally:
            if not is_done:
                _RENDERER.end()


def render_edition(*, record: str, choices: Choices, copy_for: str = "") -> RenderedPdf:
    """Make one edition at once.

    Raises:
        EditionFailed: It can't be made; the text says why.
    """
    (rendered,) = render_editions(record=record, wanted=[choices], copy_for=copy_for)
    if rendered.pdf is None:
        raise EditionFailed(rendered.says)
    return rendered.pdf


@contextmanager
def _job_folder(record: str) -> Iterator[Path]:
    """A folder with the record and the photos of a version, gone afterwards."""
    try:
        with held_folder(RENDERING) as folder:
            (folder / "record.json").write_text(record)
            (folder / "photos").mkdir()
            for photo in record_pictures(read_record(record)):
                (folder / "photos" / photo["digest"]).write_bytes(stored_photo(photo))
            yield folder
    except FilesOutOfReach:
        raise
    except OSError as problem:
        raise EditionFailed(
            f"The files of the version can't be had: {problem.strerror or problem}."
        ) from None


def _job(folder: Path, place: int, choices: Choices, copy_for: str, seconds: float) -> dict[str, Any]:
    """One line for the renderer."""
    return {
        "folder": str(folder),
        "file": str(folder / f"{place}.pdf"),
        "note": str(folder / f"{place}.json"),
        "choices": choices,
        "copy_for": copy_for,
        "seconds": seconds,
        "memory_mib": MEMORY_MIB,
    }


def _rendered(place: int, job: dict[str, Any], answer: dict[str, Any]) -> Rendered:
    """An answer with the file that it tells of."""
    peak_mib = answer.pop("peak_mib")
    if "says" in answer:
        return Rendered(place, None, answer["says"], peak_mib)
    content = Path(job["file"]).read_bytes()
    Path(job["file"]).unlink()
    return Rendered(place, RenderedPdf(content=content, **answer), peak_mib=peak_mib)


def make_test_copy(
    *, version: Version, size: str | None, name: str, own: Mapping[str, str] | None = None
) -> bytes:
    """A tester's own copy: their name in the footer of each page; one size, or all; `own`: more choices."""
    choices = {**home_choices(read_record(version.record)), "sizes": size or "all", **(own or {})}
    return render_edition(record=version.record, choices=choices, copy_for=name).content
