"""The technical edit: an editor asks, the studio answers, and the editor signs off a state of the pattern."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Count, F, Q, QuerySet
from django.utils import timezone

from catalogue.drafts.edits import hold_draft
from catalogue.models import EditQuery, Pattern, Person, SignatureRequest, Studio, TechnicalEdit
from catalogue.studio.forgetting import end_rows
from catalogue.technical_edit.signed_data import is_same_data
from catalogue.technical_edit.signing_stops import signing_stops
from catalogue.technical_edit.state_changes import state_changes
from catalogue.versions.changes import Changes
from catalogue.versions.draft_glances import check_draft_glance
from catalogue.versions.freezing import NO_VERSION, Heading, standing_record
from catalogue.versions.frozen_practice import ticks_of
from catalogue.versions.glances import Seen
from catalogue.versions.records import Record, canonical, digest_of, read_record

# What a version adds to a pattern; the state that an editor reads is all the rest.
# What the count audit finds hangs on that rest alone; its reasons are the designer's.
OF_A_VERSION = (
    "number",
    "kind",
    "note",
    "frozen_on",
    "day",
    "url",
    "studio",
    "corrects",
    "changes",
    "count_audit",
)

LONGEST_ASKED = 120
# Blocking queries that were answered by the person who asked them.
_OWN = Q(is_blocking=True, answered_by=F("asked_by")) & ~Q(answer="")


@dataclass(frozen=True)
class QueryAbout:
    """What a query is about beside its place: a size, a row, and whether it holds a release.

    `again` is the key of the query whose answer was not enough; asking again settles that one.
    """

    size: str = ""
    row: str = ""
    is_blocking: bool = False
    again: int | None = None


ALL = QueryAbout()


class SignOffRefused(ValueError):
    """A sign-off that can't be given; its text is one sentence."""


class CellsUnread(Exception):
    """Cells are unread, and the editor has not said that they sign all the same."""


@dataclass(frozen=True)
class Reading:
    """How many cells an editor has not ticked as read, and whether they sign with so many unread."""

    unread: int
    is_confirmed: bool


@dataclass(frozen=True)
class SignOff:
    """The newest sign-off of a pattern, where it was not withdrawn, and what changed since."""

    edit: TechnicalEdit
    changes: Changes
    is_fresh: bool


def whole_record(pattern: Pattern, studio: Studio | None = None) -> Record:
    """A pattern as it stands, as a version would freeze it; `studio` where it was read already."""
    return standing_record(pattern, Heading(NO_VERSION, "test", "", timezone.now()), studio=studio)


def state_record(pattern: Pattern) -> Record:
    """A pattern as it stands, without what a version adds to it."""
    return state_of(whole_record(pattern))


def state_of(record: Record) -> Record:
    """What an editor reads of a record; of the practice piece, which follows from it, the ticks alone."""
    state = {name: part for name, part in record.items() if name not in OF_A_VERSION}
    if practice := state.get("practice"):
        state["practice"] = ticks_of(practice)
    return state


def last_sign_off(pattern: Pattern, record: Record | None = None) -> SignOff | None:
    """The last sign-off with what changed since, or None where nobody has signed, or took it back."""
    edit = last_signed(pattern)
    return _sign_off(edit, record or whole_record(pattern)) if edit else None


def last_signed(pattern: Pattern) -> TechnicalEdit | None:
    """The newest sign-off; None where it was withdrawn, whatever was signed before it."""
    edit = _newest(pattern)
    return edit if edit is not None and edit.withdrawn_at is None else None


def withdrawn_last(pattern: Pattern) -> TechnicalEdit | None:
    """The newest sign-off, where it was withdrawn."""
    edit = _newest(pattern)
    return edit if edit is not None and edit.withdrawn_at else None


def _newest(pattern: Pattern) -> TechnicalEdit | None:
    """The newest sign-off, withdrawn or not."""
    return pattern.technical_edits.select_related("by", "withdrawn_by").last()


def _sign_off(edit: TechnicalEdit, record: Record) -> SignOff:
    """A sign-off beside the pattern as it stands in a record."""
    text = canonical(state_of(record))
    if digest_of(text) == edit.fingerprint:
        return SignOff(edit, Changes(), is_fresh=True)
    signed, now = read_record(edit.record), read_record(text)
    is_fresh = is_same_data(signed, now)
    return SignOff(edit, Changes() if is_fresh else state_changes(signed, now), is_fresh)


def sign_off_sentences(pattern: Pattern, record: Record) -> Iterator[str]:
    """What is in the way of publishing in the technical edit: missing, stale, or queries unanswered."""
    edit = _newest(pattern)
    if edit is None:
        yield "No technical edit is signed off: have an editor read the pattern first."
    elif edit.withdrawn_at:
        yield f"The sign-off of the technical edit was withdrawn: “{edit.withdrawal}”"
    elif not _sign_off(edit, record).is_fresh:
        at = timezone.localtime(edit.signed_at)
        on = f"{at.day} {at:%B %Y}"
        yield (
            f"The pattern was changed since the technical edit of {on}: it no longer counts. "
            "See there what changed."
        )
    told = open_queries(pattern).aggregate(
        waiting=Count("pk", filter=Q(answer="")), own=Count("pk", filter=_OWN)
    )
    if count := told["waiting"]:
        wait = "query of the technical edit waits" if count == 1 else "queries of the technical edit wait"
        yield f"{count} {wait} for an answer."
    if own := told["own"]:
        noun = "blocking query was" if own == 1 else "blocking queries were"
        yield f"{own} {noun} answered by the person who asked: read the answer before you publish."


def open_queries(pattern: Pattern) -> QuerySet[EditQuery]:
    """The queries of the round that is not signed off yet."""
    return pattern.edit_queries.filter(technical_edit=None).select_related("asked_by", "answered_by")


def self_answered(pattern: Pattern) -> QuerySet[EditQuery]:
    """Blocking queries of the open round that were answered by the person who asked them."""
    return open_queries(pattern).filter(_OWN)


def blocking_sentences(pattern: Pattern) -> Iterator[str]:
    """What holds a release: queries that block it and have no answer."""
    for query in open_queries(pattern).filter(is_blocking=True, answer=""):
        asked = f"{query.asks[:LONGEST_ASKED].rstrip()} …" if len(query.asks) > LONGEST_ASKED else query.asks
        yield f"A query of the technical edit stops every release until it is answered: “{asked}”"


@transaction.atomic
def ask(*, pattern: Pattern, place: str, asks: str, by: Person | None, about: QueryAbout = ALL) -> EditQuery:
    """Write down a query."""
    hold_draft(pattern)  # nobody signs meanwhile
    if about.again is not None:
        settle_query(pattern=pattern, pk=about.again)
    return EditQuery.objects.create(
        pattern=pattern,
        place=place,
        asks=asks,
        asked_by=by,
        size=about.size,
        row=about.row,
        is_blocking=about.is_blocking,
    )


@transaction.atomic
def answer_query(*, query: EditQuery, answer: str, by: Person | None) -> bool:
    """Answer a query of the open round; False for one that is signed off, which stays as it was signed."""
    hold_draft(query.pattern)
    found = EditQuery.objects.filter(pk=query.pk, technical_edit=None)
    return bool(found.update(answer=answer, answered_by=by, answered_at=timezone.now(), settled_at=None))


def settle_query(*, pattern: Pattern, pk: int) -> bool:
    """Take an answer as enough; False where there is none in the open round, or it is settled already."""
    answered = open_queries(pattern).filter(pk=pk, settled_at=None).exclude(answer="")
    return bool(answered.update(settled_at=timezone.now()))


def beside_sign_off(queries: Iterable[EditQuery]) -> Seen:
    """What an editor signs beside the draft: the queries of the round, with their answers."""
    return {"Query": {str(one.pk): f"{one.asks} Answer: {one.answer}" for one in queries}}


@transaction.atomic
def sign_off(
    *,
    pattern: Pattern,
    seen: str,
    note: str,
    by: Person | None,
    own_answers: bool = False,
    reading: Reading | None = None,
) -> TechnicalEdit:
    """Sign off the state that was read, with the queries of its round.

    Args:
        pattern: The pattern.
        seen: What the page showed.
        note: Remarks.
        by: Who signs.
        own_answers: Whether they confirm that blocking queries were answered by who asked them.
        reading: How much they have not ticked as read, which stands beside the signature.

    Raises:
        DraftMoved: The pattern or a query was changed while it was read.
        SignOffRefused: Something stops it: an error, a query without an answer, an own answer unconfirmed.
        CellsUnread: They have to say first that they sign with cells unread.
    """
    hold_draft(pattern)
    whole = whole_record(pattern)
    state = state_of(whole)
    check_draft_glance(pattern, state, beside_sign_off(open_queries(pattern)), seen)
    _refuse_to_sign(pattern, whole, own_answers)
    if reading and reading.unread and not reading.is_confirmed:
        raise CellsUnread
    unread = reading.unread if reading else None
    record = canonical(state)
    edit = TechnicalEdit.objects.create(
        pattern=pattern, by=by, note=note, unread=unread, fingerprint=digest_of(record), record=record
    )
    open_queries(pattern).update(technical_edit=edit)
    end_rows(SignatureRequest.objects.filter(pattern=pattern, editor=by))
    return edit


def _refuse_to_sign(pattern: Pattern, record: Record, own_answers: bool) -> None:
    """Raise where something stops a signature."""
    stops = list(signing_stops(record))
    if stops:
        raise SignOffRefused(f"Not signed: a Stop at {stops[0].place}. Correct it first.")
    if open_queries(pattern).filter(answer="").exists():
        raise SignOffRefused("A query has no answer yet: answer it, then sign.")
    if not own_answers and self_answered(pattern).exists():
        raise SignOffRefused(
            "A blocking query was answered by the person who asked it: tick that you sign with this answer."
        )


@transaction.atomic
def withdraw_sign_off(*, pattern: Pattern, seen: int, reason: str, by: Person | None) -> bool:
    """Take the newest signature back, with the reason; False where it is not the one that was seen."""
    hold_draft(pattern)
    edit = last_signed(pattern)
    if edit is None or edit.pk != seen:
        return False
    edit.withdrawn_at, edit.withdrawn_by, edit.withdrawal = timezone.now(), by, reason
    edit.save(update_fields=["withdrawn_at", "withdrawn_by", "withdrawal"])
    return True
