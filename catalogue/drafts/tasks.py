"""What waits for one person, as the desk lists it: how urgent, in which pattern, and where to go."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import IntEnum

from django.urls import reverse
from django.utils import timezone

from catalogue.models import MakerQuestion, Notice, Pattern, TargetDate


class Urgency(IntEnum):
    """In which order people see to things."""

    ASKED = 0
    HOLDS = 1
    OVERDUE = 2
    COUNTED = 3
    LATE = 4
    NOTICE = 5
    QUESTION = 6
    APPLIED = 7
    ANSWERED = 8
    CHANGED = 9
    SIGN = 10
    BEGUN = 11
    UNREAD = 12


@dataclass(frozen=True)
class Task:
    """One thing that waits for somebody: how urgent, in which pattern, what, and where a button leads."""

    urgency: Urgency
    title: str
    says: str
    button: str
    address: str

    @property
    def is_asked(self) -> bool:
        """Whether a signature is asked of the editor."""
        return self.urgency == Urgency.ASKED

    @property
    def is_unread(self) -> bool:
        """Whether it is only that the editor has read nothing of a pattern yet."""
        return self.urgency == Urgency.UNREAD


def overdue_dates(patterns: Iterable[Pattern]) -> Iterator[Task]:
    """Target dates of patterns that are past and not done, one task for each pattern; one query for all."""
    late: dict[int, list[TargetDate]] = {}
    titles = {pattern.pk: pattern for pattern in patterns}
    past = TargetDate.objects.filter(pattern__in=titles, done_on=None, due_on__lt=timezone.localdate())
    for one in past.order_by("due_on", "pk"):
        late.setdefault(one.pattern_id, []).append(one)
    for key, (first, *others) in late.items():
        pattern, more = titles[key], f", and {len(others)} more" if others else ""
        says = f"“{first.what}” was due on {first.due_on.day} {first.due_on:%B}{more}"
        address = reverse("selling", args=[pattern.slug])
        yield Task(Urgency.OVERDUE, pattern.title, says, "See its dates", address)


def questions_to_answer(patterns: Iterable[Pattern]) -> Iterator[Task]:
    """Questions of makers without an answer, one task for each pattern; one query for all."""
    by_key = {pattern.pk: pattern for pattern in patterns}
    waiting: dict[int, list[int]] = {}
    asked = MakerQuestion.objects.filter(pattern__in=by_key, same_as=None, answer="")
    for key, question in asked.order_by("asked_on", "pk").values_list("pattern", "pk"):
        waiting.setdefault(key, []).append(question)
    for key, questions in waiting.items():
        pattern = by_key[key]
        if len(questions) == 1:
            address = reverse("question", args=[pattern.slug, questions[0]])
            yield Task(Urgency.QUESTION, pattern.title, "1 maker’s question to answer", "Answer it", address)
        else:
            address = reverse("questions", args=[pattern.slug])
            says = f"{len(questions)} makers’ questions to answer"
            yield Task(Urgency.QUESTION, pattern.title, says, "Answer them", address)


def notices_to_send(pattern: Pattern, notices: Iterable[Notice]) -> Iterator[Task]:
    """Drafts of notices that wait to be looked at and sent."""
    for notice in notices:
        address = reverse("notice", args=[notice.pk])
        yield Task(Urgency.NOTICE, pattern.title, f"{notice.name}; not sent", "Read and send it", address)
