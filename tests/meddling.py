"""Something else that commits, on a connection of its own, between two steps of what is being done.

Every question to the database is a step: whatever is read before it may be old after it.
"""

from collections.abc import Callable, Iterator
from threading import Thread
from typing import Any, Literal

from django.db import OperationalError, connection

Outcome = Literal["committed", "locked out", "not reached"]
# How long the other waits for a lock: what is locked stays so for as long as we wait for it.
PATIENCE_MS = 50
# Where one step is locked the next ones are too: unless asked for in full, not each of them is tried.
STRIDE = 6


def meddled_at_each_step(
    prepare: Callable[[], Callable[[], Any]], change: Callable[[], object], *, full: bool
) -> Iterator[tuple[int, Any, Outcome]]:
    """Prepare and do something over and over, each time with something else committed at a later step."""
    step = 0
    while True:
        answer, outcome = meddled(prepare(), change, before=step)
        if outcome == "not reached":
            return
        yield step, answer, outcome
        step += 1 if full or outcome == "committed" else STRIDE


def meddled(act: Callable[[], Any], change: Callable[[], object], *, before: int) -> tuple[Any, Outcome]:
    """Do something, and have something else commit before its question number `before`, counted from 0."""
    asked = 0
    outcome: Outcome = "not reached"

    def ask(execute: Any, sql: str, params: Any, many: bool, context: Any) -> Any:
        nonlocal asked, outcome
        if asked == before:
            outcome = _elsewhere(change)
        asked += 1
        return execute(sql, params, many, context)

    with connection.execute_wrapper(ask):
        answer = act()
    return answer, outcome


def _elsewhere(change: Callable[[], object]) -> Outcome:
    """Do something on a connection of its own, unless a lock is in its way."""
    outcome: list[Outcome] = []
    problems: list[BaseException] = []

    def work() -> None:
        try:
            with connection.cursor() as cursor:
                if connection.vendor == "sqlite":
                    cursor.execute(f"PRAGMA busy_timeout = {PATIENCE_MS}")
                else:
                    cursor.execute(f"SET lock_timeout = {PATIENCE_MS}")
            change()
            outcome.append("committed")
        except OperationalError:
            outcome.append("locked out")
        except BaseException as problem:  # noqa: BLE001 told to the test
            problems.append(problem)
        finally:
            connection.close()

    thread = Thread(target=work)
    thread.start()
    thread.join()
    if problems:
        raise problems[0]
    return outcome[0]
