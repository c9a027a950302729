"""The queue of tasks: what waits in it, what a killed worker left behind, and what is done with.

All that is used of the rows of the queue stands here. The library promises them to nobody: a new release may
change them without a word, and tests/site/test_private_parts.py then says so.
"""

from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any
from uuid import UUID

from django.db import transaction
from django.utils import timezone
from django_tasks import TaskResultStatus
from django_tasks.base import Task
from django_tasks_db.models import DBTaskResult

OVERDUE = timedelta(minutes=30)
MOST_STARTS = 3
KEPT = timedelta(days=1)
KEPT_FAILED = timedelta(days=14)
ASLEEP_AFTER = timedelta(minutes=10)
MOST_SHOWN = 50
WORKER_ENDED = "its worker ended each time that it was begun, as when memory runs out"


def waiting_calls(task: Task[..., Any]) -> list[dict[str, Any]]:
    """With what a task is to be called, or is being called just now."""
    return _calls(task, TaskResultStatus.READY, TaskResultStatus.RUNNING)


def failed_calls(task: Task[..., Any]) -> list[dict[str, Any]]:
    """With what a task was called when the queue gave it up."""
    return _calls(task, TaskResultStatus.FAILED)


def is_due_or_running(task: Task[..., Any]) -> bool:
    """Whether a worker is at a task, or comes to it as soon as it can."""
    rows = DBTaskResult.objects.filter(task_path=task.module_path)
    return bool(rows.ready().exists() or rows.filter(status=TaskResultStatus.RUNNING).exists())


def _calls(task: Task[..., Any], *statuses: TaskResultStatus) -> list[dict[str, Any]]:
    """The named arguments of every call of a task that stands in the queue."""
    rows = DBTaskResult.objects.filter(task_path=task.module_path, status__in=statuses)
    return [row.args_kwargs["kwargs"] for row in rows]


def return_tasks_of(*, worker_id: str) -> int:
    """Return the tasks of a worker that is known to be dead; say how many."""
    running = DBTaskResult.objects.filter(status=TaskResultStatus.RUNNING)
    left = [task.pk for task in running if task.worker_ids[-1:] == [worker_id]]
    return _return(left)


def return_overdue_tasks() -> int:
    """Return tasks that have been running for longer than any task takes; say how many."""
    overdue = DBTaskResult.objects.filter(
        status=TaskResultStatus.RUNNING, started_at__lt=timezone.now() - OVERDUE
    )
    return _return(list(overdue.values_list("pk", flat=True)))


def forget_finished_tasks() -> int:
    """Erase what is done: the arguments of a task may hold addresses and codes."""
    now = timezone.now()
    done = DBTaskResult.objects.filter(status=TaskResultStatus.SUCCESSFUL, finished_at__lt=now - KEPT)
    failed = DBTaskResult.objects.filter(status=TaskResultStatus.FAILED, finished_at__lt=now - KEPT_FAILED)
    return int(done.delete()[0]) + int(failed.delete()[0])


@dataclass(frozen=True)
class FailedTask:
    """A task that the queue gave up: which, when, how often it was begun, and why in words."""

    key: UUID
    name: str
    failed_at: datetime
    starts: int
    why: str


@dataclass(frozen=True)
class Queue:
    """What stands in the queue: how much is due, runs and comes later, and since when the oldest is due."""

    due: int
    running: int
    later: int
    oldest_due_at: datetime | None
    failed: list[FailedTask]

    @property
    def is_asleep(self) -> bool:
        """Whether something has been due for long and no worker takes it."""
        return self.oldest_due_at is not None and timezone.now() - self.oldest_due_at > ASLEEP_AFTER


def look_at_queue() -> Queue:
    """The queue as it stands now; of a task nothing is told that it is called with."""
    now, ready = timezone.now(), DBTaskResult.objects.filter(status=TaskResultStatus.READY)
    due = ready.filter(run_after__lte=now)
    oldest = due.order_by("run_after").values_list("run_after", "enqueued_at").first()
    failed = DBTaskResult.objects.filter(status=TaskResultStatus.FAILED).order_by("-finished_at")
    return Queue(
        due=due.count(),
        running=DBTaskResult.objects.filter(status=TaskResultStatus.RUNNING).count(),
        later=ready.filter(run_after__gt=now).count(),
        oldest_due_at=max(oldest) if oldest else None,
        failed=[_failed(task) for task in failed[:MOST_SHOWN]],
    )


def start_again(key: UUID) -> bool:
    """Put a task that failed back into the queue, with all its tries; say whether it was still there.

    Every task may run twice, so that nothing is done double.
    """
    failed = DBTaskResult.objects.filter(pk=key, status=TaskResultStatus.FAILED)
    again: dict[str, Any] = {
        "started_at": None,
        "finished_at": None,
        "worker_ids": [],
        "traceback": "",
        "exception_class_path": "",
    }
    return bool(failed.update(status=TaskResultStatus.READY, **again))


def _failed(task: "DBTaskResult[..., Any]") -> FailedTask:
    """A task as the designer reads of it: the kind of its mistake, as its words may tell of a person."""
    kind = task.exception_class_path.rpartition(".")[2]
    why = f"the program made a mistake ({kind}); the log says where" if kind else WORKER_ENDED
    return FailedTask(
        key=task.pk,
        name=task.task_path.rpartition(".")[2],
        failed_at=task.finished_at or task.enqueued_at,
        starts=len(task.worker_ids),
        why=why,
    )


@transaction.atomic
def _return(keys: list[UUID]) -> int:
    """Queue tasks once more; one that was started too often and never ended fails for good.

    The update is conditional: a task that ended in the meantime stays as it is.
    """
    returned = 0
    for task in DBTaskResult.objects.filter(pk__in=keys):
        running = DBTaskResult.objects.filter(pk=task.pk, status=TaskResultStatus.RUNNING)
        if len(task.worker_ids) >= MOST_STARTS:
            running.update(
                status=TaskResultStatus.FAILED,
                finished_at=timezone.now(),
                traceback=f"Its worker ended {MOST_STARTS} times while running it.",
            )
        else:
            returned += running.update(status=TaskResultStatus.READY, started_at=None)
    return returned
