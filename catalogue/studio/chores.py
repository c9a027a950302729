"""Chores: what is done now and then without anybody asking. Each runs by itself, and a failure is told.

A failure is one sentence with place and remedy, in the log and on the designer's home page, until the chore
succeeds; it ends nothing else.
"""

import logging
import time
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import TypeVar

from django.db import DatabaseError, InterfaceError, OperationalError

from catalogue.models import FailedChore
from catalogue.studio.out_of_reach import FilesOutOfReach

logger = logging.getLogger(__name__)
# A store that does not answer takes its time with each; the others wait for the next round.
PATIENCE_SECONDS = 30.0

Thing = TypeVar("Thing")


class ChoreWaits(Exception):
    """A chore must not be done now; its text says why and what to do, without a full stop."""


@dataclass(frozen=True)
class Chore:
    """Something to do; what is so while it can't be done, without a full stop; what it counts."""

    undone: str
    do: Callable[[], object]
    counts: str = ""


@dataclass(frozen=True)
class Done:
    """What a chore returned, or why it failed."""

    result: object = None
    why: str = ""


def do_chore(chore: Chore) -> Done:
    """Do a chore; whatever goes wrong is told, and nothing is raised."""
    mistake: Exception | None = None
    try:
        done = Done(result=chore.do())
    except FilesOutOfReach as problem:
        done = Done(why=problem.why)
    except ChoreWaits as reason:
        done = Done(why=str(reason))
    except (OperationalError, InterfaceError) as problem:
        words = str(problem).partition("\n")[0]  # what follows may tell of a person
        done = Done(why=f"the database does not answer ({words}); see that it runs and has room")
    except Exception as problem:  # noqa: BLE001 whatever it is, the other chores go on
        mistake = problem
        kind = type(problem).__name__
        done = Done(why=f"the program made a mistake ({kind}); the log says where, send it to the makers")
    _write_down(chore.undone, done.why, mistake)
    _keep(chore.undone, done.why)
    return done


def do_each(things: Iterable[Thing], do: Callable[[Thing], int]) -> int:
    """Do the same for one thing after another and count; a failure lets the others go on.

    Raises:
        Exception: The first failure, once the others had their turn or patience is over.
    """
    count, first, until = 0, None, 0.0
    for thing in things:
        try:
            count += do(thing)
        except Exception as problem:  # noqa: BLE001 raised below
            first, until = first or problem, until or time.monotonic() + PATIENCE_SECONDS
        if first and time.monotonic() > until:
            break
    if first:
        raise first
    return count


# What was written down last, so that a failure that stays the same fills no log.
_WRITTEN: dict[str, str] = {}


def _write_down(undone: str, why: str, mistake: Exception | None) -> None:
    """Say in the log what is new: a failure, another one, or that it is over."""
    if why == _WRITTEN.get(undone, ""):
        return
    _WRITTEN[undone] = why
    if why:
        logger.error("%s: %s. It is tried again.", undone, why, exc_info=mistake)
    else:
        logger.warning("%s: that is over.", undone)


def _keep(undone: str, why: str) -> None:
    """Keep a failure for the designer's home page, or forget it; a database that is away shows no page."""
    kept = FailedChore.objects.filter(undone=undone)
    try:
        if why:
            FailedChore.objects.update_or_create(undone=undone, defaults={"why": why})
        elif kept.exists():
            kept.delete()
    except DatabaseError as problem:
        logger.warning("The failure of a chore could not be kept: %s", problem)
