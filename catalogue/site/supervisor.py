"""Server and worker side by side: started together, watched, ended together."""

import ctypes
import fcntl
import math
import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import NoReturn

from django.conf import settings
from django.core.management.base import CommandError
from django.db import close_old_connections

from catalogue.editions.stored_files import sweep_files
from catalogue.public.listings import mark_anew
from catalogue.publishing.publishing import take_up_publications
from catalogue.site.patient_worker import MOST_CLIENTS
from catalogue.studio.chores import Chore, do_chore
from catalogue.studio.erasures import keep_marks
from catalogue.studio.letters import forget_settled_letters, sweep_letters
from catalogue.studio.limits import forget_old_tallies
from catalogue.studio.sign_ins import forget_old_sign_ins
from catalogue.studio.task_queue import forget_finished_tasks, return_overdue_tasks, return_tasks_of
from catalogue.studio.temporary_folders import sweep_folders
from catalogue.versions.frozen_work import forget_old_work
from testing.running import tending

WATCH_SECONDS = 0.5
TIDY_SECONDS = 15.0
TEND_SECONDS = 300.0
TIDYING = (
    Chore("Tasks that took too long are not back in the queue", return_overdue_tasks),
    Chore("Old tasks are not forgotten", forget_finished_tasks),
    Chore("Letters that are due are not sent", sweep_letters),
    Chore("Letters that went long ago are not forgotten", forget_settled_letters),
    Chore("Old counts of attempts are not forgotten", forget_old_tallies),
    Chore("Old sign-ins are not forgotten", forget_old_sign_ins),
)
TENDING = (
    *tending.CHORES,
    Chore("Marks that keep a backup from bringing back what was erased are not written", keep_marks),
    Chore("Versions that wait for their editions are not taken up", take_up_publications),
    Chore("Patterns published before can't be found by a measurement of the body", mark_anew),
    Chore("What older programs worked out from frozen records is not forgotten", forget_old_work),
    Chore("Files that no edition has are not swept", sweep_files),
    Chore("Temporary files of what was cut short are not swept", sweep_folders),
)
RESTART_SECONDS = 2.0
PATIENCE_SECONDS = 10.0
SERVER_OPTIONS = (
    *("--workers", "1", "--timeout", "120"),
    *("--worker-class", "catalogue.site.patient_worker.PatientWorker", "--threads", str(MOST_CLIENTS)),
)
# The C library would keep freed memory apart for many of the threads, and never give it back.
FEW_ARENAS = {"MALLOC_ARENA_MAX": "2"}
SERVER_LOG = "catalogue.site.server_log.DiscreetServerLog"


@dataclass
class Running:
    """The processes and when they were last looked after; no server where only a worker is watched."""

    server: subprocess.Popen[bytes] | None
    worker: subprocess.Popen[bytes]
    worker_id: str
    tidied_at: float = -math.inf
    tended_at: float = -math.inf
    started_at: float = field(default_factory=time.monotonic)


def check_port(port: int) -> None:
    """Stop with one line when the port is taken."""
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind(("127.0.0.1", port))
        except (OSError, OverflowError):
            raise CommandError(
                f"Port {port} cannot be used: end what uses it, or choose another, like --port 8765."
            )


@contextmanager
def only_one() -> Iterator[None]:
    """Hold the data folder, so that no second server and worker share it by mistake."""
    path = Path(settings.DATA_DIR) / "running.lock"
    with path.open("w") as guard:
        try:
            fcntl.flock(guard, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError:
            raise CommandError(f"This studio is running already (data folder {settings.DATA_DIR}).")
        yield


def run(*, host: str, port: int, say: Callable[[str], None]) -> None:
    """Run server and worker until Ctrl-C, SIGTERM or the end of the server."""
    worker_id = _begin()
    _watch(Running(_start_server(host, port), _start_worker(worker_id), worker_id), say)


def run_worker(*, say: Callable[[str], None]) -> None:
    """Run a worker and all that is done now and then, without a server, until Ctrl-C or SIGTERM."""
    worker_id = _begin()
    _watch(Running(None, _start_worker(worker_id), worker_id), say)


def _begin() -> str:
    """Take back what a worker of this machine left behind, and end in order; the name of the new worker."""
    worker_id = socket.gethostname()[:64]
    do_chore(_returning(worker_id))
    signal.signal(signal.SIGTERM, _end)
    signal.signal(signal.SIGINT, _end)
    return worker_id


def _watch(running: Running, say: Callable[[str], None]) -> None:
    """Look after what runs until it is ended."""
    try:
        while running.server is None or running.server.poll() is None:
            _look_after(running, say)
            time.sleep(WATCH_SECONDS)
        raise CommandError("The server ended by itself; its last lines say why.")
    except KeyboardInterrupt:
        say("Closing …")
    finally:
        _stop(*(one for one in (running.server, running.worker) if one is not None))


def _end(*_: object) -> NoReturn:
    """Leave the loop in order."""
    raise KeyboardInterrupt


def _look_after(running: Running, say: Callable[[str], None]) -> None:
    """Start a dead worker anew, tidy up and tend the calls now and then; no chore that fails ends this."""
    now = time.monotonic()
    if running.worker.poll() is not None and now - running.started_at > RESTART_SECONDS:
        running.started_at = now
        _restart_worker(running, say)
    if now - running.tidied_at > TIDY_SECONDS:
        running.tidied_at = now
        _do(TIDYING)
    if now - running.tended_at > TEND_SECONDS:
        running.tended_at = now
        _do(TENDING)


def _do(chores: Iterable[Chore]) -> None:
    """Do chores one after another, each by itself."""
    for chore in chores:
        do_chore(chore)
        close_old_connections()


def _returning(worker_id: str) -> Chore:
    """Put the tasks of a worker that is dead back into the queue."""
    return Chore(
        "Tasks of a worker that ended are not back in the queue", lambda: return_tasks_of(worker_id=worker_id)
    )


def _restart_worker(running: Running, say: Callable[[str], None]) -> None:
    """Start a worker in place of the dead one; where that can't be, the next look tries again."""
    returned = do_chore(_returning(running.worker_id))
    close_old_connections()
    try:
        running.worker = _start_worker(running.worker_id)
    except OSError as problem:
        say(f"The worker ended and can't be started: {problem.strerror}. It is tried again.")
        return
    tasks = "" if returned.why else f"; {returned.result} of its tasks are back in the queue"
    say(f"The worker ended and was started again{tasks}.")


def _start_server(host: str, port: int) -> subprocess.Popen[bytes]:
    """One process with threads."""
    options = ["--bind", f"{host}:{port}", *SERVER_OPTIONS]
    quiet = ["--log-level", "warning", "--no-control-socket", "--logger-class", SERVER_LOG]
    return _start([sys.executable, "-m", "gunicorn", *options, *quiet, "catalogue.site.wsgi:application"])


def _start_worker(worker_id: str) -> subprocess.Popen[bytes]:
    manage = str(Path(settings.BASE_DIR) / "manage.py")
    options = ["--no-startup-delay", "--interval", "0.5", "--no-reload", "--worker-id", worker_id]
    return _start([sys.executable, manage, "db_worker", *options])


def _start(command: list[str]) -> subprocess.Popen[bytes]:
    """Start in a session of its own, so that Ctrl-C reaches us alone and we end it in order."""
    return subprocess.Popen(  # noqa: S603  our own commands
        command,
        cwd=settings.BASE_DIR,
        env={**os.environ, **FEW_ARENAS},
        start_new_session=True,
        preexec_fn=_end_with_parent,
    )


def _end_with_parent() -> None:
    """Have Linux end a child when we are killed, so that no orphan keeps the port."""
    ctypes.CDLL(None).prctl(1, signal.SIGTERM)


def _stop(*processes: subprocess.Popen[bytes]) -> None:
    """Ask processes to end; those that do not are killed."""
    for process in processes:
        if process.poll() is None:
            os.kill(process.pid, signal.SIGTERM)
    for process in processes:
        try:
            process.wait(PATIENCE_SECONDS)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()
