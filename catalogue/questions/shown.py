"""Questions and answers on the page of their pattern: in words that the studio read, never with who asked."""

import re

from django.template.loader import render_to_string
from django.utils import timezone
from django.utils.safestring import SafeString

from catalogue.models import MakerQuestion, Pattern
from catalogue.questions.questions import QuestionRefused, first_questions, place_words

MOST_ON_PAGE, LONGEST_QUESTION, LONGEST_ANSWER = 8, 400, 1_200
SHORTEST_NAME = 3  # letters: a shorter part of a name is also in other words


def show_answer(*, question: MakerQuestion, shown_as: str) -> None:
    """Put a question and its answer on the page of its pattern.

    Raises:
        QuestionRefused: It has no answer, one that is too long, or words that tell who asked.
    """
    if not question.answer:
        raise QuestionRefused("There is no answer yet: save one first.")
    if len(question.answer) > LONGEST_ANSWER:
        raise QuestionRefused(
            f"The answer is too long for the page: shorten it to {LONGEST_ANSWER} characters."
        )
    if named := _tells_who_asked(question, f"{shown_as}\n{question.answer}"):
        raise QuestionRefused(f"“{named}” tells who asked: take it out of the question and the answer.")
    question.shown_as, question.shown_answer = shown_as, question.answer
    question.shown_at = timezone.now()
    question.save(update_fields=["shown_as", "shown_answer", "shown_at"])


def hide_answer(*, question: MakerQuestion) -> None:
    """Take a question and its answer off the page of its pattern."""
    question.shown_as, question.shown_answer, question.shown_at = "", "", None
    question.save(update_fields=["shown_as", "shown_answer", "shown_at"])


def answers_for_page(pattern: Pattern) -> SafeString:
    """The newest questions and answers that visitors may read; nothing where there are none."""
    shown = first_questions(pattern).filter(shown_at__isnull=False).order_by("-shown_at", "-pk")
    found = list(shown.prefetch_related("version")[:MOST_ON_PAGE])
    if not found:
        return SafeString()
    page = {"answers": [(place_words(one), one.shown_as, one.shown_answer) for one in found]}
    return SafeString(render_to_string("catalogue/questions/_shown.html", page))


def _tells_who_asked(question: MakerQuestion, text: str) -> str:
    """A name or an address, of anybody who asked it, that stands in a text; nothing where none does."""
    asked = [question, *question.again.all()]
    parts = [part for one in asked for part in (one.email, *re.findall(r"[^\W\d_]+", one.name))]
    known = [part for part in parts if len(part) >= SHORTEST_NAME]
    return next(
        (part for part in known if re.search(rf"(?<!\w){re.escape(part)}(?!\w)", text, re.IGNORECASE)), ""
    )
