"""Holders: who has which version of a pattern and wants to hear of its corrections. An address, no more."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from django.core.signing import BadSignature, Signer
from django.db import transaction
from django.db.models import Exists, OuterRef, QuerySet
from django.urls import reverse
from django.utils import timezone

from catalogue.models import Holder, NoticeMail, Pattern, Version
from catalogue.models.link_tokens import own_name, read_own_name
from catalogue.studio.erasures import forget_mark, mark_erased, mark_of, mark_of_address, marks
from catalogue.studio.forgetting import forget_letters_about
from catalogue.studio.freed_pages import sweep_after_edit
from catalogue.studio.mailing import send_mail
from catalogue.studio.public_address import link_address
from catalogue.versions.versions import published_title

ASK_AGAIN = timedelta(hours=1)
_SIGNER = Signer(salt="catalogue.holders")


@dataclass(frozen=True)
class NewHolder:
    """Somebody to be stored: no more than an address, a pattern, a version and a date."""

    email: str
    pattern: Pattern
    version: Version | None
    held_since: date | None


@dataclass(frozen=True)
class Stored:
    """How many were new, how many had their version changed, and how many had unsubscribed before."""

    new: int
    changed: int
    silent: int


@transaction.atomic
def store_holders(*, holders: Iterable[NewHolder], source: str) -> Stored:
    """Store holders; who has unsubscribed stays so, and nobody is stored twice."""
    wanted = {(one.pattern.pk, one.email.strip().lower()): one for one in holders}
    patterns = {pattern for pattern, _ in wanted}
    known = {(one.pattern_id, one.email.lower()): one for one in Holder.objects.filter(pattern__in=patterns)}
    states = _states_of({email for _, email in wanted})
    new = [
        _row(one, source, states.get(email, "wants"))
        for (pattern, email), one in wanted.items()
        if (pattern, email) not in known
    ]
    Holder.objects.bulk_create(new, batch_size=500, ignore_conflicts=True)
    changed = [known[key] for key, one in wanted.items() if key in known and _renew(known[key], one)]
    Holder.objects.bulk_update(changed, ("version", "held_since"), batch_size=500)
    rows = [*(known[key] for key in wanted if key in known), *new]
    silent = sum(row.state not in ("wants", "asked") for row in rows)
    return Stored(len(new), len(changed), silent)


def _states_of(emails: set[str]) -> dict[str, str]:
    """What is known of addresses under any pattern: no letters at all, called unwanted, does not work."""
    left = marks()
    states = {email: "left" for email in emails if mark_of_address(email) in left}
    silent = Holder.objects.filter(state__in=("bounced", "complained")).order_by("state")
    states.update((email.lower(), state) for email, state in silent.values_list("email", "state").iterator())
    return states


@transaction.atomic
def erase_holder(*, holder: Holder) -> None:
    """Forget an address, with the record of what it was sent."""
    sweep_after_edit()
    mark_erased(mark_of("holder", holder.pk, holder.stored_at))
    forget_letters_about(holder)
    holder.delete()


@transaction.atomic
def erase_address(*, holder: Holder) -> None:
    """Forget an address under every pattern, as its owner asks; no later table has it written to again."""
    unsubscribe(holder=holder, from_all=True)
    for one in Holder.objects.filter(email__iexact=holder.email):
        erase_holder(holder=one)


def ask_to_confirm(*, pattern: Pattern, email: str, version: Version | None) -> None:
    """Somebody asks for notices: write to the address once; it gets none before the letter is answered."""
    address = email.strip().lower()
    with transaction.atomic():
        holder, is_new = Holder.objects.get_or_create(
            pattern=pattern,
            email=address,
            defaults={"version": version, "source": "own", "state": "asked", "asked_at": timezone.now()},
        )
        if not is_new and not _may_ask_again(holder, version):
            return
        send_mail(to=address, template="holder_confirm", context=_letter(holder, version), about=holder)


def confirm_holder(*, holder: Holder, version: Version | None = None) -> None:
    """The owner of the address wants notices, and may say of which version."""
    forget_mark(mark_of("unsubscribed", holder.pk, holder.stored_at))
    holder.version = version or holder.version
    Holder.objects.filter(pk=holder.pk).update(
        state="wants", version=holder.version, changed_at=timezone.now()
    )


@transaction.atomic
def unsubscribe(*, holder: Holder, from_all: bool = False) -> None:
    """No more notices to this address: of this pattern, or of all."""
    found = Holder.objects.filter(email=holder.email) if from_all else Holder.objects.filter(pk=holder.pk)
    for one in found:
        mark_erased(mark_of("unsubscribed", one.pk, one.stored_at))
    if from_all:
        mark_erased(mark_of_address(holder.email))
    found.exclude(state="complained").update(state="left", changed_at=timezone.now())


@transaction.atomic
def set_right(*, holders: QuerySet[Holder]) -> int:
    """Addresses that were taken for dead do work: under every pattern; return how many rows.

    Refused letters are struck off the lists of their notices, so that their holders count as not told.
    """
    concerned = Holder.objects.filter(
        state="bounced", email__in=holders.filter(state="bounced").values("email")
    )
    known = marks()
    had_letters = Exists(NoticeMail.objects.filter(holder=OuterRef("pk")))
    rows = list(concerned.annotate(had_letters=had_letters))
    NoticeMail.objects.filter(holder__in=concerned, state="refused").delete()
    for holder in rows:
        holder.state, holder.changed_at = _state_before(holder, known), timezone.now()
    return Holder.objects.bulk_update(rows, ("state", "changed_at"), batch_size=500)


def leave_again() -> int:
    """Erase and unsubscribe holders who asked for it after a backup that was put back; return how many."""
    known, count = marks(), 0
    for holder in Holder.objects.exclude(state="left").iterator():
        if mark_of("holder", holder.pk, holder.stored_at) in known:
            erase_holder(holder=holder)
        elif holder.state != "complained" and mark_of("unsubscribed", holder.pk, holder.stored_at) in known:
            Holder.objects.filter(pk=holder.pk).update(state="left", changed_at=timezone.now())
        else:
            continue
        count += 1
    return count


def holder_key(holder: Holder) -> str:
    """The signed key by which a holder confirms and unsubscribes; it needs no account and never lapses."""
    return _SIGNER.sign(own_name(holder, holder.token))


def holder_of_key(key: str) -> Holder | None:
    """The holder that a key belongs to."""
    return holder_of_name(_SIGNER, key)


def holder_of_name(signer: Signer, key: str) -> Holder | None:
    """The holder whose name a signer has signed."""
    try:
        number, token = read_own_name(signer.unsign(key))
    except (BadSignature, ValueError):
        return None
    return Holder.objects.select_related("pattern", "version").filter(pk=number, token=token).first()


def holder_url(name: str, holder: Holder) -> str:
    """The public address of one of a holder's own pages."""
    return f"{link_address()}{reverse(name, args=[holder_key(holder)])}"


def _state_before(holder: Any, known: frozenset[str]) -> str:
    """What a holder was before their address was taken for dead; nobody is subscribed who was not."""
    own_mark = mark_of("unsubscribed", holder.pk, holder.stored_at)
    if own_mark in known or mark_of_address(holder.email) in known:
        return "left"
    return "asked" if holder.source == "own" and not holder.had_letters else "wants"


def _row(one: NewHolder, source: str, state: str) -> Holder:
    """A holder who is new."""
    return Holder(
        pattern=one.pattern,
        email=one.email.strip().lower(),
        version=one.version,
        held_since=one.held_since,
        source=source,
        state=state,
    )


def _renew(known: Holder, one: NewHolder) -> bool:
    """Take over a version that is newer, or the first that is known; say whether anything changed."""
    before = (known.version_id, known.held_since)
    if one.version and (known.version is None or one.version.order > known.version.order):
        known.version, known.held_since = one.version, one.held_since
    return (known.version_id, known.held_since) != before


def _may_ask_again(holder: Holder, version: Version | None) -> bool:
    """Whether the address may be written to once more, which nobody can use to flood it."""
    if holder.state == "wants" and (version is None or version.pk == holder.version_id):
        return False
    now = timezone.now()
    recent = holder.asked_at is not None and holder.asked_at > now - ASK_AGAIN
    if recent or holder.state == "complained":
        return False
    holder.asked_at = now
    holder.save(update_fields=("asked_at",))
    return True


def _letter(holder: Holder, version: Version | None) -> dict[str, object]:
    """What the letter that asks for a confirmation says; a version is taken over when it is answered."""
    named = version or holder.version
    query = f"?version={version.number}" if version else ""
    return {
        "title": published_title(holder.pattern),
        "url": holder_url("holder_confirm", holder) + query,
        "number": named.number if named else "",
    }
