"""How long requests and tasks take: written down without a word of whom they are about."""

import logging
import time
from collections.abc import Callable
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django_tasks import TaskResult

logger = logging.getLogger(__name__)


class TimedRequestsMiddleware:
    """Writes down requests that take longer than the studio's limit: by their route, never their address."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        """Answer, and say so when it took long."""
        began, used = time.perf_counter(), time.thread_time()
        answer = self.get_response(request)
        seconds = time.perf_counter() - began
        if seconds >= settings.SLOW_REQUEST_SECONDS:
            match = request.resolver_match
            figures = {
                "method": request.method,
                "route": f"/{match.route}" if match else "no page",
                "status": answer.status_code,
                "seconds": round(seconds, 3),
                "processor_seconds": round(time.thread_time() - used, 3),
            }
            logger.warning(
                "Slow request: %(method)s %(route)s answered %(status)s after %(seconds)s s, "
                "%(processor_seconds)s s of them at work",
                figures,
                extra={"figures": figures},
            )
        return answer


def write_down_task(sender: Any, task_result: TaskResult[Any], **_: Any) -> None:  # noqa: ARG001 as signals are sent
    """Say how long a task waited and took; not what it was called with."""
    began, ended = task_result.started_at, task_result.finished_at
    if began is None or ended is None:
        return
    enqueued = task_result.enqueued_at or began
    figures = {
        "task": task_result.task.module_path.rpartition(".")[2],
        "state": str(task_result.status.label).lower(),
        "seconds": round((ended - began).total_seconds(), 3),
        "waited_seconds": round((began - enqueued).total_seconds(), 3),
    }
    logger.info(
        "Task %(task)s: %(state)s after %(seconds)s s, having waited %(waited_seconds)s s",
        figures,
        extra={"figures": figures},
    )
