"""Work in forked processes on the same database, which are killed at a named point or when one likes."""

import os
import signal

from django.db import connections


def forked(work):
    """Run something in a child; return its id and the end of a pipe on which it tells what came of it."""
    connections.close_all()
    here = {alias: connections[alias] for alias in connections}
    hears, tells = os.pipe()
    pid = os.fork()
    if pid == 0:
        os.close(hears)
        # Where a browser's loop runs, connections are kept by it, and a child has none: it takes these over.
        for alias, connection in here.items():
            connections[alias] = connection
        try:
            os.write(tells, work().encode())
        except BaseException as problem:  # noqa: BLE001 told to the parent
            os.write(tells, f"{type(problem).__name__}: {problem}".encode())
        os._exit(0)
    os.close(tells)
    return pid, hears


def told(pid, hears):
    os.waitpid(pid, 0)
    with os.fdopen(hears, "rb") as pipe:
        return pipe.read().decode()


def arm(module, name, when, turn):
    """Have this process killed before or after a call of a function."""
    real, calls = getattr(module, name), [0]

    def armed(*args, **options):
        calls[0] += 1
        if calls[0] == turn and when == "before":
            os.kill(os.getpid(), signal.SIGKILL)
        answer = real(*args, **options)
        if calls[0] == turn and when == "after":
            os.kill(os.getpid(), signal.SIGKILL)
        return answer

    setattr(module, name, armed)
