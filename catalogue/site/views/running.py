"""How the studio runs: for the designer in words, for whatever watches the machine in one line."""

from uuid import UUID

from django.contrib import messages
from django.db import DatabaseError, connection
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.http import require_POST, require_safe

from catalogue.site.running import ALIVE, TASK_WORDS, last_backup, troubles, try_address
from catalogue.studio.public_address import link_address
from catalogue.studio.roles import designer_required
from catalogue.studio.task_queue import look_at_queue, start_again

NEVER_KEPT = "no-store"


@require_safe
def health(request: HttpRequest) -> HttpResponse:  # noqa: ARG001 as every page is asked
    """One line for what watches the machine: 200 while the database answers, else 503."""
    try:
        with connection.cursor() as cursor:
            cursor.execute("SELECT 1")
    except DatabaseError:
        return _line("the database does not answer", 503)
    return _line(ALIVE, 200)


@require_safe
@designer_required
def running(request: HttpRequest) -> HttpResponse:
    """What is wrong and what to do, the queue, and what failed in it."""
    queue = look_at_queue()
    page = {
        "pattern": None,
        "queue": queue,
        "failed": [(TASK_WORDS.get(task.name, task.name), task) for task in queue.failed],
        "troubles": troubles(queue),
        "backup_at": last_backup(),
        "address": link_address(),
    }
    return render(request, "site/running.html", page)


@require_POST
@designer_required
def task_again(request: HttpRequest, key: UUID) -> HttpResponse:
    """Start a task again that failed."""
    if start_again(key):
        messages.success(request, "It is in the queue again.")
    else:
        messages.error(request, "It is not among the failed ones any more: look at the list again.")
    return redirect("running")


@require_POST
@designer_required
def running_address(request: HttpRequest) -> HttpResponse:
    """Try whether the studio is reached at its own address."""
    address = link_address()
    if why := try_address(address):
        messages.error(
            request,
            f"{address} can’t be reached from this machine: {why}. Open it on a phone without Wi-Fi. If that "
            "works, all is well; else see to the name, the certificate and the proxy.",
        )
    else:
        messages.success(request, f"{address} answers.")
    return redirect("running")


def _line(says: str, status: int) -> HttpResponse:
    """One line of plain text that nobody keeps."""
    answer = HttpResponse(f"{says}\n", content_type="text/plain; charset=utf-8", status=status)
    answer["Cache-Control"] = NEVER_KEPT
    return answer
