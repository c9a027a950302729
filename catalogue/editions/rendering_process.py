"""The renderer: a process of its own that is warm, and forks a child with limits for every edition.

It reads one job a line from its standard input and answers one line for each: what was made, or why not.
It has no threads and no database; a job is a folder with the record and the photos of one version, and
nothing outside it is read or written.
"""

import ctypes
import gc
import json
import os
import select
import signal
import sys
import time
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import Any, NoReturn

from catalogue.studio.process_limits import limit_this_process

AT_ONCE = 2
IDLE_SECONDS = 300.0
LARGEST_FILE = 200 * 1024 * 1024
FORBIDDEN_EVENTS = (
    "socket.connect",
    "socket.getaddrinfo",
    "socket.bind",
    "subprocess.Popen",
    "os.exec",
    "os.system",
)


@dataclass
class Child:
    """An edition that is being made, until when it may take, and the descriptor that tells its end."""

    job: dict[str, Any]
    ends_at: float
    end: int


@dataclass
class Renderer:
    """Jobs that wait, and children at work."""

    waiting: list[dict[str, Any]] = field(default_factory=list)
    children: dict[int, Child] = field(default_factory=dict)
    prepared: dict[str, Any] = field(default_factory=dict)
    heard: bytes = b""


def main() -> None:
    """Warm up, then work until nobody asks any more."""
    ctypes.CDLL(None).prctl(1, signal.SIGKILL)
    _warm_up()
    renderer, asked_at = Renderer(), time.monotonic()
    while True:
        if 0 in _happened(renderer):
            if not _hear(renderer):
                break
            asked_at = time.monotonic()
        _reap(renderer)
        while renderer.waiting and len(renderer.children) < AT_ONCE:
            _start(renderer, renderer.waiting.pop(0))
        if not (renderer.children or renderer.waiting) and time.monotonic() - asked_at >= IDLE_SECONDS:
            break
    for pid in renderer.children:
        os.kill(pid, signal.SIGKILL)


def _warm_up() -> None:
    """Load everything that every edition needs, so that children share its memory."""
    import django

    django.setup()
    from django.template.loader import get_template
    from PIL import Image

    from catalogue.editions.editions import render_pdf  # noqa: F401 loaded for the children
    from catalogue.editions.ingredients import OWN, libraries, template_folder
    from catalogue.editions.pdf_writing import PageSource, house_style, write_pdf
    from catalogue.editions.typefaces import read_signs

    words = "<h1>1</h1><p>a <em>b</em> <strong>c</strong></p><table><tr><td>½</td></tr></table>"
    files = {f"{OWN}weave.svg": lambda: b"<svg xmlns='http://www.w3.org/2000/svg' width='1' height='1'/>"}
    html = f"<html lang='en'><title>Warm</title><body>{words}</body></html>"
    write_pdf(PageSource(html, files, style="", identity="0" * 32))
    house_style(True)
    for path in template_folder().iterdir():
        if path.suffix in {".html", ".svg"}:
            get_template(f"catalogue/pdf/{path.name}")
    Image.preinit()
    read_signs()
    libraries()
    gc.collect()
    gc.freeze()
    gc.disable()
    _say({"ready": True})


def _happened(renderer: Renderer) -> list[int]:
    """Wait until somebody asks, a child ends or one is over its time; which descriptors tell it."""
    ends_at = [child.ends_at - time.monotonic() for child in renderer.children.values()]
    ends = [child.end for child in renderer.children.values()]
    return select.select([0, *ends], [], [], max(0.0, min([IDLE_SECONDS, *ends_at])))[0]


def _hear(renderer: Renderer) -> bool:
    """Read jobs; False once nobody can ask any more."""
    heard = os.read(0, 65_536)
    *lines, renderer.heard = (renderer.heard + heard).split(b"\n")
    renderer.waiting += [json.loads(line) for line in lines]
    return bool(heard)


def _start(renderer: Renderer, job: dict[str, Any]) -> None:
    """Fork a child for a job; what editions of one version share is read once, here."""
    record, graded = _prepared(renderer, job["folder"])
    pid = os.fork()
    if pid == 0:
        _make(job, record, graded)
    renderer.children[pid] = Child(job, time.monotonic() + job["seconds"], os.pidfd_open(pid))


def _prepared(renderer: Renderer, folder: str) -> tuple[Any, Any]:
    """The record of a version and its numbers, or why they can't be had."""
    if folder not in renderer.prepared:
        from catalogue.editions.editions import graded_as_frozen
        from catalogue.editions.ingredients import EditionFailed
        from catalogue.versions.records import read_record

        try:
            record = read_record((Path(folder) / "record.json").read_text())
            renderer.prepared = {folder: (record, graded_as_frozen(record))}
        except (EditionFailed, OSError, ValueError, KeyError) as problem:
            renderer.prepared = {folder: (None, str(problem))}
    found: tuple[Any, Any] = renderer.prepared[folder]
    return found


def _make(job: dict[str, Any], record: Any, graded: Any) -> NoReturn:
    """Make one edition in a child: the PDF and a note about it in the folder, then the end."""
    note: dict[str, Any]
    try:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        os.dup2(os.open(os.devnull, os.O_RDONLY), 0)
        _set_limits(job)
        note = _made(job, record, graded)
    except BaseException as problem:  # noqa: BLE001 whatever happens in a child is told by its note
        note = {"says": _sentence(problem)}
    try:
        Path(job["note"]).write_text(json.dumps(note))
    finally:
        os._exit(0)


def _made(job: dict[str, Any], record: Any, graded: Any) -> dict[str, Any]:
    """The edition written and told."""
    from catalogue.editions.editions import render_pdf
    from catalogue.editions.ingredients import EditionFailed

    if record is None:
        raise EditionFailed(graded)
    photos = Path(job["folder"]) / "photos"
    pdf = render_pdf(
        record=record,
        choices=job["choices"],
        copy_for=job["copy_for"],
        graded=graded,
        read_photo=lambda photo: (photos / photo["digest"]).read_bytes(),
    )
    Path(job["file"]).write_bytes(pdf.content)
    return {name: value for name, value in asdict(pdf).items() if name != "content"}


def _set_limits(job: dict[str, Any]) -> None:
    """Bound time, memory and files; no network and no other program from here on."""
    limit_this_process(
        cpu_seconds=int(job["seconds"]) + 1, memory_mib=job["memory_mib"], largest_file=LARGEST_FILE
    )
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)

    def refuse(event: str, _: Any) -> None:
        if event in FORBIDDEN_EVENTS:
            raise PermissionError("An edition asks nobody and runs nothing.")

    sys.addaudithook(refuse)


def _sentence(problem: BaseException) -> str:
    """Why an edition was not made, in one sentence."""
    from catalogue.editions.ingredients import EditionFailed

    if isinstance(problem, EditionFailed):
        return str(problem)
    if isinstance(problem, MemoryError):
        return "It needs more memory than an edition may have: make the words or pictures fewer."
    if isinstance(problem, RecursionError):
        return "Lists or blocks are too deep inside each other: use fewer levels."
    if isinstance(problem, OSError):
        return f"The file could not be written: {problem.strerror or problem}."
    return f"The PDF could not be made: {type(problem).__name__}, {str(problem)[:200]}."


def _reap(renderer: Renderer) -> None:
    """Take what children have made; kill those that are over their time."""
    for pid, child in list(renderer.children.items()):
        ended, status, used = os.wait4(pid, os.WNOHANG)
        is_late = not ended and time.monotonic() > child.ends_at
        if is_late:
            os.kill(pid, signal.SIGKILL)
            os.waitpid(pid, 0)
        if ended or is_late:
            os.close(renderer.children.pop(pid).end)
            peak_mib = used.ru_maxrss / 1024
            _say({"note": child.job["note"], "peak_mib": peak_mib, **_note(child.job, is_late, status)})


def _note(job: dict[str, Any], is_late: bool, status: int) -> dict[str, Any]:
    """What a child has told, or why it told nothing."""
    too_long = f"It took longer than {job['seconds']:g} seconds and was stopped."
    if is_late:
        return {"says": too_long}
    try:
        told: dict[str, Any] = json.loads(Path(job["note"]).read_text())
    except (OSError, ValueError):
        was_cpu = os.WIFSIGNALED(status) and os.WTERMSIG(status) in (signal.SIGXCPU, signal.SIGKILL)
        return {"says": too_long if was_cpu else "It ended before its time: try again."}
    return told


def _say(answer: dict[str, Any]) -> None:
    """Answer one line."""
    os.write(1, json.dumps(answer).encode() + b"\n")


if __name__ == "__main__":
    main()
