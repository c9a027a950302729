"""Sending notices: in batches by tasks, each letter handed over once, whenever the worker is killed.

Before the dot that ends a letter goes to the mail server, a journal of the batch says so, in one write that
outlives the process; with the dot the letter is the server's, whether or not we live to hear so. The database
learns of it at the end of the batch, or from the journal when the batch is taken up again after a kill.
"""

from datetime import datetime, timedelta
from typing import Any

from django.db import connection, transaction
from django.db.models import Min, Q, QuerySet
from django.utils import timezone
from django_tasks import TaskContext, task

from catalogue.holders.journal import Journal, read_journal, remove_journal
from catalogue.holders.letters import letter_number, write_letter
from catalogue.holders.notice_names import told_before
from catalogue.holders.notices import address_everybody, errata_to_tell, letters_of, notice_glance, undecided
from catalogue.models import Holder, Notice, NoticeMail, Person
from catalogue.studio.mail_addresses import AddressUnfit
from catalogue.studio.mail_handover import (
    MOST_TRIES,
    LetterDelayed,
    PostAway,
    PostRefused,
    RecipientRefused,
    hand_over,
    open_post,
    wait_before_next,
)
from catalogue.versions.glances import check_glance
from catalogue.versions.held_errata import hold_errata

BATCH = 100
MOST_DELAYED = 5  # letters put off one after the other: the server wants none now
LEFT_BEHIND = timedelta(minutes=30)


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
    try:
        if mails:
            _send(found, mails, batch)
    except PostRefused as refusal:
        settle(batch)
        Notice.objects.filter(pk=notice, state="sending").update(state="stopped", says=str(refusal))
    except PostAway as trouble:
        settle(batch)
        _go_on(found, attempt + 1, str(trouble))
    else:
        settle(batch)
        _go_on(found)


def take_letters(notice: Notice, batch: str) -> list[NoticeMail]:
    """Take the next letters that nobody has in hand, or whose batch was left behind."""
    waiting = notice.mails.filter(state="waiting")
    late = waiting.filter(taken_at__lt=timezone.now() - LEFT_BEHIND).exclude(batch="")
    for left in late.values_list("batch", flat=True).distinct():
        settle(left)
    free = Q(batch="") | Q(batch=batch) | Q(taken_at__lt=timezone.now() - LEFT_BEHIND)
    due = Q(try_at=None) | Q(try_at__lte=timezone.now())
    with transaction.atomic():
        rows = waiting.filter(free, due).order_by("tries", "pk")
        if connection.features.has_select_for_update_skip_locked:
            rows = rows.select_for_update(skip_locked=True)
        pks = list(rows.values_list("pk", flat=True)[:BATCH])
        NoticeMail.objects.filter(pk__in=pks).update(batch=batch, taken_at=timezone.now())
    taken = NoticeMail.objects.filter(pk__in=pks).select_related("holder__version")
    return list(taken.order_by("tries", "pk"))


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
        elif sign == "unfit":
            mine.filter(pk=pk).update(state="refused", says=says[:300], settled_at=now)
        elif sign == "later":
            _note_delay(mine.filter(pk=pk), says)
    mine.update(batch="", taken_at=None)
    transaction.on_commit(lambda: remove_journal(batch))


def _send(notice: Notice, mails: list[NoticeMail], batch: str) -> None:
    """Hand letters over one by one, until the server wants no more."""
    delayed = 0
    with Journal(batch) as journal, open_post() as post:
        for mail in mails:
            if _is_wanted(notice, mail):
                delay = _send_one(notice, mail, journal, post)
                delayed = delayed + 1 if delay else 0
                if delayed == MOST_DELAYED:
                    raise PostAway(f"The mail server has put off our e-mails (“{delay}”): we try again.")


def _is_wanted(notice: Notice, mail: NoticeMail) -> bool:
    """Whether its holder still wants it and has a version that it is about; another is skipped."""
    is_wanted = Holder.objects.filter(pk=mail.holder_id, state="wants").exists()
    if is_wanted and letter_number(mail) in notice.letters:
        return True
    NoticeMail.objects.filter(pk=mail.pk).update(state="skipped", settled_at=timezone.now())
    return False


def _send_one(notice: Notice, mail: NoticeMail, journal: Journal, post: Any) -> str:
    """Hand one letter over and note what became of it; return why it is put off, where it is."""
    try:
        hand_over(post, write_letter(notice, mail), lambda: journal.note(mail.pk, "handed"))
    except RecipientRefused as refusal:
        journal.note(mail.pk, "refused", str(refusal))
    except AddressUnfit as unfit:
        journal.note(mail.pk, "unfit", str(unfit))
    except LetterDelayed as delay:
        journal.note(mail.pk, "later", str(delay))
        return str(delay)
    except PostRefused as refusal:
        journal.note(mail.pk, "later", str(refusal))  # it goes last when the notice goes on
        raise
    return ""


def _note_refusal(mails: QuerySet[NoticeMail], says: str) -> None:
    """The server will never take letters to this recipient: the address does not work."""
    for mail in mails.select_related("holder"):
        Holder.objects.filter(pk=mail.holder_id, state="wants").update(state="bounced")
    mails.update(state="refused", says=says[:300], settled_at=timezone.now())


def _note_delay(mails: QuerySet[NoticeMail], says: str) -> None:
    """The letter is to be tried later, for days; then it is given up, and its holder stays as they are."""
    for mail in mails:
        tries, now = mail.tries + 1, timezone.now()
        state, settled_at = ("refused", now) if tries >= MOST_TRIES else ("waiting", None)
        NoticeMail.objects.filter(pk=mail.pk).update(
            tries=tries,
            try_at=now + wait_before_next(tries),
            says=says[:300],
            state=state,
            settled_at=settled_at,
        )


def _go_on(notice: Notice, attempt: int = 0, says: str = "") -> None:
    """Queue the next batch, later and later while the server is down; or end the notice."""
    waiting = notice.mails.filter(state="waiting")
    if not waiting.exists():
        address_everybody(notice)  # those who became holders while it was being sent
    sending = Notice.objects.filter(pk=notice.pk, state="sending")
    if not waiting.exists():
        sending.update(state="sent", says="", finished_at=timezone.now())
        return
    sending.update(says=says)
    wait = wait_before_next(attempt) if attempt else _wait_of(waiting)
    if wait and not send_batch.get_backend().supports_defer:
        return
    again = send_batch.using(run_after=timezone.now() + wait) if wait else send_batch
    again.enqueue(notice=notice.pk, attempt=attempt)


def _wait_of(waiting: QuerySet[NoticeMail]) -> timedelta:
    """How long until a letter is due."""
    if waiting.filter(try_at=None).exists():
        return timedelta()
    first: datetime = waiting.aggregate(first=Min("try_at"))["first"]
    return max(first - timezone.now(), timedelta())


@transaction.atomic
def start_notice(
    *, notice: Notice, words: str, by: Person | None, seen: str | None = None, spares_told: bool = False
) -> bool:
    """Freeze the letters of a draft and have them sent; False when somebody else was first.

    `spares_told`: not to those who had all of it in a later notice.

    Raises:
        Moved: The letters are not as they were seen.
    """
    now = timezone.now()
    if not undecided(notice).update(state="sending", words=words, by=by, started_at=now):
        return False
    hold_errata(errata_to_tell(notice))
    check_glance(seen, notice_glance(notice))
    spared = told_before(notice, errata_to_tell(notice)) if spares_told else ()
    NoticeMail.objects.bulk_create(
        NoticeMail(notice=notice, holder_id=holder, state="skipped", settled_at=now) for holder in spared
    )
    # Of every version: whoever becomes a holder later is told what is true of theirs.
    written = letters_of(notice, words, everybody=True)
    letters = {one.number: [one.subject, one.text, one.html] for one in written}
    listed = {one.number: list(one.listed) for one in written if one.listed}
    Notice.objects.filter(pk=notice.pk).update(letters=letters, listed=listed)
    notice.errata.set(errata_to_tell(notice))
    send_batch.enqueue(notice=notice.pk)
    return True


@transaction.atomic
def resume_notice(*, notice: Notice) -> None:
    """Go on with a notice that stopped or stands still; what was sent is never sent again."""
    if Notice.objects.filter(pk=notice.pk, state__in=("sending", "stopped")).update(state="sending", says=""):
        notice.mails.filter(state="waiting").update(try_at=None)
        send_batch.enqueue(notice=notice.pk)


@transaction.atomic
def tell_newcomers(*, notice: Notice) -> bool:
    """Send the letters also to those who became holders since; False when it is being sent already."""
    again = Notice.objects.filter(pk=notice.pk, state="sent").update(state="sending", is_addressed=False)
    if again:
        send_batch.enqueue(notice=notice.pk)
    return bool(again)
