"""Letters: e-mails that wait in a table of their own and are sent by the worker, each until it has gone.

Taking a letter in hand moves its next try into the future, so that nobody else takes it and a worker that is
killed loses none. It is struck off once the server has said that it has it. A worker that is killed between
the end of a letter and that, or hears no answer to it, sends it a second time under the same Message-ID;
there is no other way to send one twice, and none to lose one.
"""

from collections.abc import Iterable
from datetime import timedelta
from typing import Any
from urllib.parse import urlsplit
from uuid import UUID

from django.conf import settings
from django.core.mail import EmailMultiAlternatives
from django.db import transaction
from django.db.models import Model, QuerySet
from django.utils import timezone
from django_tasks import task

from catalogue.models import Letter
from catalogue.studio.mail_addresses import AddressUnfit, ascii_address, ascii_domain
from catalogue.studio.mail_folder import KIND_HEADER
from catalogue.studio.mail_handover import (
    MOST_TRIES,
    LetterDelayed,
    LetterRefused,
    PostAway,
    PostRefused,
    RecipientRefused,
    hand_over,
    open_post,
    wait_before_next,
)
from catalogue.studio.senders import sender
from catalogue.studio.task_queue import is_due_or_running

IN_HAND = timedelta(minutes=10)  # longer than any talk with a mail server that answers at all
KEPT = timedelta(days=30)
# What waited so long before the studio was put back from a backup is looked at by somebody first.
STALE = timedelta(days=5)
GONE: dict[str, Any] = {
    "state": "sent",
    "to": "",
    "reply_to": "",
    "subject": "",
    "text": "",
    "html": "",
    "says": "",
}


def about_of(row: Model | None) -> str:
    """What stands in a letter for the row that it is about."""
    return f"{row._meta.model_name}-{row.pk}" if row is not None else ""  # noqa: SLF001 the name of its table


def unsent_letters() -> QuerySet[Letter]:
    """The letters that have not gone."""
    return Letter.objects.exclude(state="sent")


def letters_in_state(state: str) -> QuerySet[Letter]:
    """The letters in a state, the newest first."""
    return Letter.objects.filter(state=state).order_by("-pk")


def due_letters() -> QuerySet[Letter]:
    """The letters to be sent now; those first that were never tried."""
    return Letter.objects.filter(state="waiting", try_at__lte=timezone.now()).order_by("tries", "pk")


@task()
def send_letters() -> None:
    """Send the letters that are due; safe to run twice, and beside another."""
    due = list(due_letters())
    if not due:
        return
    try:
        with open_post() as post:
            for letter in due:
                _send(post, letter)
    except (PostAway, PostRefused) as trouble:
        for letter in due_letters():
            _put_off(letter, str(trouble), tries=letter.tries + 1)


def sweep_letters() -> int:
    """Have letters sent that are due while nothing in the queue will send them; return how many are due."""
    due = due_letters().count()
    if due and not is_due_or_running(send_letters):
        send_letters.enqueue()
    return due


def send_again(*, letters: QuerySet[Letter]) -> int:
    """Try letters once more, as if they were new; return how many."""
    count = letters.exclude(state="sent").update(
        state="waiting", tries=0, try_at=timezone.now(), says="", settled_at=None
    )
    send_letters.enqueue()
    return count


def forget_settled_letters() -> int:
    """Delete what is kept of letters that went, and letters that could not be sent, after their time."""
    count, _ = Letter.objects.exclude(state="waiting").filter(settled_at__lt=timezone.now() - KEPT).delete()
    return count


def sent_names() -> list[UUID]:
    """The names of the letters that went."""
    return list(Letter.objects.filter(state="sent").values_list("name", flat=True))


@transaction.atomic
def settle_restored(*, sent: Iterable[UUID]) -> None:
    """After a backup was put back: what went since goes no second time, what is stale waits for somebody."""
    known = set(sent)
    now = timezone.now()
    again = [
        pk for pk, name in Letter.objects.exclude(state="sent").values_list("pk", "name") if name in known
    ]
    for pk in again:
        Letter.objects.filter(pk=pk).update(**GONE, settled_at=now)
    Letter.objects.filter(state="waiting", posted_at__lt=now - STALE).update(
        state="failed",
        settled_at=now,
        says="It had waited for days when a backup was restored: send it if it is still right.",
    )


def message_id_of(letter: Letter) -> str:
    """The Message-ID, the same each time that a letter is sent; it names what the letter is about."""
    host = ascii_domain(urlsplit(settings.STUDIO_URL).hostname or "localhost")
    return f"<{letter.about or 'letter'}.{letter.name}@{host}>"


def _send(post: Any, letter: Letter) -> None:
    """Send one letter, unless somebody else has it in hand."""
    if letter.tries >= MOST_TRIES:
        _fail(letter, "Whoever sends it ended each time: have a look at what it says.")
        return
    tries, try_at = letter.tries + 1, timezone.now() + IN_HAND
    if not _as_known(letter).update(tries=tries, try_at=try_at):
        return
    letter.tries, letter.try_at = tries, try_at
    try:
        hand_over(post, _written(letter))
    except (AddressUnfit, RecipientRefused, LetterRefused, ValueError) as refusal:
        _fail(letter, _refusal_words(refusal))
    except LetterDelayed as delay:
        says = f"The mail server put it off (“{delay}”). Evenrow tries again by itself."
        _put_off(letter, says, tries=tries)
    except (PostAway, PostRefused) as trouble:
        _put_off(letter, str(trouble), tries=tries)
        raise
    else:
        Letter.objects.filter(pk=letter.pk).update(**GONE, settled_at=timezone.now())


def _written(letter: Letter) -> EmailMultiAlternatives:
    """The e-mail as it goes out."""
    headers = {
        "Auto-Submitted": "auto-generated",
        "Message-ID": message_id_of(letter),
        KIND_HEADER: letter.kind,
    }
    to = ascii_address(letter.to)
    answers_to = [ascii_address(letter.reply_to)] if letter.reply_to else None
    mail = EmailMultiAlternatives(
        letter.subject, letter.text, sender(), [to], headers=headers, reply_to=answers_to
    )
    if letter.html:
        mail.attach_alternative(letter.html, "text/html")
    return mail


def _refusal_words(refusal: Exception) -> str:
    """Why a letter will never go, in a sentence."""
    if isinstance(refusal, RecipientRefused):
        return f"The mail server refused the address (“{refusal}”): check its spelling."
    if isinstance(refusal, AddressUnfit | LetterRefused):
        return str(refusal)
    return "No e-mail can be made of it: there is a line break in its subject or in an address."


def _put_off(letter: Letter, says: str, *, tries: int) -> None:
    """Try it again, later and later, for days; then it has failed, and the page says so."""
    if tries >= MOST_TRIES:
        _fail(letter, f"Evenrow tried for five days. {says}")
        return
    _as_known(letter).update(tries=tries, try_at=timezone.now() + wait_before_next(tries), says=says)


def _fail(letter: Letter, says: str) -> None:
    """Give a letter up, in sight."""
    _as_known(letter).update(state="failed", says=says, settled_at=timezone.now())


def _as_known(letter: Letter) -> QuerySet[Letter]:
    """The letter's row, unless somebody else has taken it in hand since we read it."""
    return Letter.objects.filter(pk=letter.pk, state="waiting", tries=letter.tries, try_at=letter.try_at)
