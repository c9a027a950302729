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
            f"Version {version.number} has no such place: choose it again from the list of that version."
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
    """Say that a question is the same as another; those that were led to it follow."""
    question.again.update(same_as=first)
    question.same_as = first
    question.save(update_fields=["same_as"])


def place_words(question: MakerQuestion) -> str:
    """The place of a question, as the version calls it that was asked about."""
    if not question.place:
        return "The whole pattern"
    return spot_words(question.place, frozen_record(question.version.record))
