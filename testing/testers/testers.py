"""Testers across calls: what somebody made and how reliably, in words; the designer's notes; asking again."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass

from django.db import transaction
from django.db.models import Exists, OuterRef, Q, QuerySet
from django.db.models.functions import Lower
from django.utils import timezone

from catalogue.models import Person
from testing.access.links import absolute
from testing.access.selectors import result_of
from testing.calls.consent import written_day
from testing.calls.schedule import finish_day
from testing.mails.mails import post_once
from testing.models import Application, Placement, TestCall, TesterNote

MOST_WORDS = 8


class AskRefused(ValueError):
    """Somebody who can't be asked; one sentence for the designer."""


@dataclass(frozen=True)
class TesterRecord:
    """One tester: what they made, how reliably, the designer's note, whether they may be asked."""

    person: Person
    made: list[str]
    says: str
    note: str
    may_be_asked: bool


def find_testers(words: str = "", size: str = "") -> QuerySet[Person]:
    """Who ever took a place, by name; each word is in their name, address or one of their patterns.

    With a size only those who took a place of it.
    """
    taken = Placement.objects.filter(person=OuterRef("pk"), accepted_at__isnull=False)
    taken = taken.filter(size=size) if size else taken
    found = Person.objects.filter(Exists(taken))
    for word in words.split()[:MOST_WORDS]:
        made = Exists(taken.filter(call__pattern__title__icontains=word))
        found = found.filter(Q(name__icontains=word) | Q(email__icontains=word) | made)
    return found.order_by(Lower("name"), "email")


def records_of_testers(people: Iterable[Person]) -> list[TesterRecord]:
    """What these people made and how reliably, in their order."""
    known = {person.pk: person for person in people}
    taken: dict[int, list[Placement]] = defaultdict(list)
    places = Placement.objects.filter(person__in=known, accepted_at__isnull=False).order_by("pk")
    for placement in places.select_related("application", "call__pattern", "result"):
        taken[placement.person_id or 0].append(placement)
    notes = dict(TesterNote.objects.filter(person__in=known).values_list("person_id", "text"))
    today = timezone.localdate()
    return [_record(person, taken[pk], notes.get(pk, ""), today) for pk, person in known.items()]


def reliability(places: Iterable[Placement], today: dt.date) -> str:
    """How reliably somebody made what they took, in words."""
    counts: dict[str, int] = defaultdict(int)
    for placement in places:
        counts[_outcome(placement, today)] += 1
    order = ("in time", "late", "given back", "taken away", "overdue", "on the way")
    return "; ".join(_counted(outcome, counts[outcome]) for outcome in order if counts[outcome]) + "."


@transaction.atomic
def keep_note(*, person: Person, text: str) -> None:
    """Keep the designer's note about a tester; an empty one goes."""
    if text:
        TesterNote.objects.update_or_create(person=person, defaults={"text": text})
    else:
        TesterNote.objects.filter(person=person).delete()


@transaction.atomic
def ask_again(*, person: Person, call: TestCall) -> None:
    """Ask a tester, who said that we may, whether they would like to apply for a call; once each."""
    applications = Application.objects.filter(placement__person=person)
    if call.applications.filter(email__iexact=person.email).exists():
        raise AskRefused(f"{person} has applied for {call.pattern} already.")
    agreed = applications.filter(may_ask_again=True).select_related("call__pattern").last()
    if agreed is None:
        raise AskRefused(f"{person} has not agreed to be asked again.")
    is_new = post_once(
        application=agreed,
        kind="ask_again",
        occasion=f"call {call.pk}",
        values={
            "title": call.pattern.title,
            "date": written_day(call.apply_by),
            "url": absolute("call_page", call.slug),
        },
    )
    if not is_new:
        raise AskRefused(f"{person} was asked about {call.pattern} before.")


def _record(person: Person, places: list[Placement], note: str, today: dt.date) -> TesterRecord:
    """Gather one tester."""
    made = [f"{placement.call.pattern.title}, size {placement.size}" for placement in places]
    may_be_asked = any(placement.application.may_ask_again for placement in places)
    return TesterRecord(person, made, reliability(places, today), note, may_be_asked)


def _outcome(placement: Placement, today: dt.date) -> str:
    """How one place went."""
    result, last = result_of(placement), finish_day(placement)
    last += dt.timedelta(days=placement.call.grace_days)
    if result and result.done_at:
        return "in time" if timezone.localdate(result.done_at) <= last else "late"
    if placement.ended_at:
        return "taken away" if placement.application.state == "replaced" else "given back"
    return "overdue" if today > last else "on the way"


def _counted(outcome: str, count: int) -> str:
    """A number of garments with how they went."""
    garments = "1 garment" if count == 1 else f"{count} garments"
    places = "1 place" if count == 1 else f"{count} places"
    return {
        "in time": f"{garments} finished in time",
        "late": f"{garments} finished late",
        "given back": f"{places} given back",
        "taken away": f"{places} taken back by the studio",
        "overdue": f"{garments} overdue",
        "on the way": f"{garments} on the way",
    }[outcome]
