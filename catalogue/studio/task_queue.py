"""The queue of tasks: what waits in it, what a killed worker left behind, and what is done with.

All that is used of the rows of the queue stands here. The library promises them to nobody: a new release may
change them without a word, and tests/site/test_private_parts.py then says so.
"""

from datetime import timedelta
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
