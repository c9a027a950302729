"""Questions of makers: kept, answered once, led to what was done about them."""

from typing import Any

from django.db import transaction
from django.db.models import QuerySet
from django.utils import timezone

from catalogue.models import MakerQuestion, Pattern
from catalogue.versions.records import frozen_record
from catalogue.versions.spots import has_spot, spot_words

MOST_SHOWN = 400


class QuestionRefused(ValueError):
    """A question that can't be kept; its text is one sentence."""


@transaction.atomic
def keep_question(*, pattern: Pattern, **asked: Any) -> MakerQuestion:
    """Keep a question; one that was asked before is led to the first of its kind.

    Raises:
        QuestionRefused: The version has no such place.
    """
    version, place = asked["version"], asked["place"]
    if place and not has_spot(place, frozen_record(version.record)):
        raise QuestionRefused(
            f"Version {version.number} has no such place: choose a place from the list of that version."
        )
    return MakerQuestion.objects.create(pattern=pattern, **asked)


def first_questions(pattern: Pattern) -> QuerySet[MakerQuestion]:
    """The questions of a pattern, each once, however often it was asked."""
    return pattern.maker_questions.filter(same_as=None)


def answer_question(*, question: MakerQuestion, answer: str) -> None:
    """Keep the answer; an empty one opens the question again."""
    question.answer = answer
    question.answered_at = timezone.now() if answer else None
    question.save(update_fields=["answer", "answered_at"])


@transaction.atomic
def lead_to(*, question: MakerQuestion, first: MakerQuestion) -> None:
    """Say that a question is the same as another; those that were led to it follow.

    An answer goes to the first where that has none, so that it is still shown.
    """
    if question.answer and not first.answer:
        _pass_answer(question, first)
        question.answer, question.answered_at = "", None
    question.again.update(same_as=first)
    question.same_as = first
    question.save(update_fields=["same_as", "answer", "answered_at"])


@transaction.atomic
def part_from_first(question: MakerQuestion) -> None:
    """Say that a question is one of its own after all; it keeps the answer that it was shown with."""
    first = question.same_as
    if first is None:
        return
    if not question.answer:
        _pass_answer(first, question)
    question.same_as = None
    question.save(update_fields=["same_as"])


def _pass_answer(giver: MakerQuestion, taker: MakerQuestion) -> None:
    """Give the answer of a question to another one."""
    taker.answer, taker.answered_at = giver.answer, giver.answered_at
    taker.save(update_fields=["answer", "answered_at"])


def place_words(question: MakerQuestion) -> str:
    """The place of a question, as the version calls it that was asked about."""
    if not question.place:
        return "The whole pattern"
    return spot_words(question.place, frozen_record(question.version.record))
