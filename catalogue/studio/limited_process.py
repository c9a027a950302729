"""Work on somebody's file in a process with limits: it gets the file's bytes and nothing else."""

import signal
import subprocess
import sys

from django.conf import settings


class TookTooLongError(Exception):
    """The process was ended: it took more time than it had."""


class NoAnswerError(Exception):
    """The process ended without an answer, or could not be started."""


def run_limited(module: str, content: bytes, *, cpu_seconds: int, memory_mib: int, seconds: float) -> bytes:
    """Answer of a module of ours to some bytes; it bounds itself by `limit_this_process`.

    Args:
        module: Its dotted name; it reads its standard input and writes its answer.
        content: What it reads.
        cpu_seconds: The most computing it may take.
        memory_mib: The most memory it may take (MiB).
        seconds: The longest that its answer is waited for; the machine may have other things to do.

    Raises:
        TookTooLongError: It was ended.
        NoAnswerError: It broke, or could not be started.
    """
    command = [sys.executable, "-m", module, str(cpu_seconds), str(memory_mib)]
    try:
        done = subprocess.run(  # noqa: S603 our own command
            command,
            input=content,
            stdout=subprocess.PIPE,
            cwd=settings.BASE_DIR,
            env={},
            timeout=seconds,
            check=False,
        )
    except subprocess.TimeoutExpired:  # killed and reaped by now
        raise TookTooLongError from None
    except OSError:
        raise NoAnswerError from None
    if done.returncode == -signal.SIGXCPU:
        raise TookTooLongError
    if done.returncode:
        raise NoAnswerError
    return done.stdout
