"""Sending notices: in batches by tasks, each letter handed over once, whenever the worker is killed.

Before the dot that ends a letter goes to the mail server, a journal of the batch says so, in one write that
outlives the process; with the dot the letter is the server's, whether or not we live to hear so. The database
learns of it at the end of the batch, or from the journal when the batch is taken up again after a kill.
"""

from datetime import timedelta
from typing import Any

from django.core.mail import get_connection
from django.db import connection, transaction
from django.db.models import Q
from django.utils import timezone
from django_tasks import TaskContext, task

from catalogue.models import Holder, Notice, NoticeMail
from catalogue.notice_journal import Journal, read_journal, remove_journal
from catalogue.notice_letters import letter_number, write_letter
from catalogue.notices import address_everybody
from catalogue.post_office import LetterRefused, hand_over

BATCH = 100
MOST_TRIES = 5
LEFT_BEHIND = timedelta(minutes=30)
LONGEST_WAIT_MINUTES = 60


@task(takes_context=True)
def send_batch(context: TaskContext, *, notice: int, attempt: int = 0) -> None:
    """Send the next letters of a notice, and have the rest sent after them; safe to run twice."""
    found = Notice.objects.filter(pk=notice, state="sending").select_related("version__pattern").first()
    if found is None:
        return
    batch = str(context.task_result.id)
    if not found.is_addressed:
        address_everybody(found)
    settle(batch)
    mails = take_letters(found, batch)
    is_down = bool(mails) and not _send(found, mails, batch)
    settle(batch)
    _go_on(found, attempt + 1 if is_down else 0)


def take_letters(notice: Notice, batch: str) -> list[NoticeMail]:
    """Take the next letters that nobody has in hand, or whose batch was left behind."""
    waiting = notice.mails.filter(state="waiting")
    late = waiting.filter(taken_at__lt=timezone.now() - LEFT_BEHIND).exclude(batch="")
    for left in late.values_list("batch", flat=True).distinct():
        settle(left)
    free = Q(batch="") | Q(batch=batch) | Q(taken_at__lt=timezone.now() - LEFT_BEHIND)
    with transaction.atomic():
        rows = waiting.filter(free).order_by("pk")
        if connection.features.has_select_for_update_skip_locked:
            rows = rows.select_for_update(skip_locked=True)
        pks = list(rows.values_list("pk", flat=True)[:BATCH])
        NoticeMail.objects.filter(pk__in=pks).update(batch=batch, taken_at=timezone.now())
    return list(NoticeMail.objects.filter(pk__in=pks).select_related("holder__version").order_by("pk"))


@transaction.atomic
def settle(batch: str) -> None:
    """Write down what became of a batch, from its journal; what was not handed over waits again."""
    mine = NoticeMail.objects.filter(batch=batch, state="waiting")
    noted = read_journal(batch)
    now = timezone.now()
    handed = [pk for pk, (sign, _) in noted.items() if sign == "handed"]
    mine.filter(pk__in=handed).update(state="handed", settled_at=now)
    for pk, (sign, says) in noted.items():
        if sign == "refused":
            _note_refusal(mine.filter(pk=pk), says)
        elif sign == "later":
            _note_delay(mine.filter(pk=pk), says)
    mine.update(batch="", taken_at=None)
    transaction.on_commit(lambda: remove_journal(batch))


def _send(notice: Notice, mails: list[NoticeMail], batch: str) -> bool:
    """Hand letters over one by one; False when the mail server can't be reached."""
    try:
        with Journal(batch) as journal, get_connection() as post:
            for mail in mails:
                _send_one(notice, mail, journal, post)
    except OSError:  # what smtplib raises is one, too
        return False
    return True


def _send_one(notice: Notice, mail: NoticeMail, journal: Journal, post: Any) -> None:
    """Hand one letter over, unless its holder wants none any more, or has a version that it is not about."""
    is_wanted = Holder.objects.filter(pk=mail.holder_id, state="wants").exists()
    if not is_wanted or letter_number(mail) not in notice.letters:
        NoticeMail.objects.filter(pk=mail.pk).update(state="skipped", settled_at=timezone.now())
        return
    try:
        hand_over(post, write_letter(notice, mail), lambda: journal.note(mail.pk, "handed"))
    except LetterRefused as refusal:
        journal.note(mail.pk, "refused" if refusal.for_good else "later", str(refusal))


def _note_refusal(mails: Any, says: str) -> None:
    """The server will never take this letter: its address does not work."""
    for mail in mails.select_related("holder"):
        Holder.objects.filter(pk=mail.holder_id, state="wants").update(state="bounced")
    mails.update(state="refused", says=says[:300], settled_at=timezone.now())


def _note_delay(mails: Any, says: str) -> None:
    """The server asks to try later: so often and no more."""
    for mail in mails:
        state = "refused" if mail.tries + 1 >= MOST_TRIES else "waiting"
        NoticeMail.objects.filter(pk=mail.pk).update(tries=mail.tries + 1, says=says[:300], state=state)


def _go_on(notice: Notice, attempt: int) -> None:
    """Queue the next batch, later and later while the server is down or asks to wait; or end the notice."""
    waiting = notice.mails.filter(state="waiting")
    if not waiting.exists():
        address_everybody(notice)  # those who became holders while it was being sent
    if not waiting.exists():
        Notice.objects.filter(pk=notice.pk, state="sending").update(state="sent", finished_at=timezone.now())
        return
    is_slow = attempt > 0 or not waiting.filter(tries=0).exists()
    if is_slow and not send_batch.get_backend().supports_defer:
        return
    wait = timedelta(minutes=min(2 ** max(attempt, 1), LONGEST_WAIT_MINUTES)) if is_slow else None
    again = send_batch.using(run_after=timezone.now() + wait) if wait else send_batch
    again.enqueue(notice=notice.pk, attempt=attempt)
