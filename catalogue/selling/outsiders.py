"""What is kept about people outside the studio: who gave yarn and who asked; given out, and erased."""

from typing import Any

from django.db import transaction

from catalogue.errata.quotes import ERASED
from catalogue.models import MakerQuestion, YarnSupport
from catalogue.questions.erasing import erase_asker, question_mark, remove_files_quoting
from catalogue.selling.support import erase_giver, support_mark
from catalogue.studio.erasures import marks
from catalogue.versions.standings import place_of_version


def held_about_outsider(email: str) -> list[dict[str, Any]]:
    """All that is kept under an e-mail address: what was given and promised, what was asked and answered."""
    given = YarnSupport.objects.filter(email__iexact=email).select_related("pattern")
    asked = MakerQuestion.objects.filter(email__iexact=email)
    asked = asked.select_related("pattern", "version", "same_as").defer("version__record")
    places = place_of_version([(one.version, one.place) for one in asked if one.place])
    return [
        *(_gift(support) for support in given.prefetch_related("promises")),
        *(_question(one, places.get((one.version_id, one.place), "The whole pattern")) for one in asked),
    ]


@transaction.atomic
def erase_outsider(email: str) -> None:
    """Forget who gave yarn or asked under an address, and the words of what they asked."""
    for support in YarnSupport.objects.filter(email__iexact=email):
        erase_giver(support)
    for question in MakerQuestion.objects.filter(email__iexact=email).select_related("erratum"):
        erase_asker(question)


def remove_files_of_outsider(email: str) -> None:
    """Take away files that may quote what somebody asked, before the rows go.

    Raises:
        FilesOutOfReach: They can't be removed.
    """
    question = MakerQuestion.objects.filter(email__iexact=email, erratum__isnull=False).first()
    if question:
        remove_files_quoting(question)


def erase_outsiders_again() -> int:
    """Erase what was erased after a backup that was put back; return how many rows that were.

    Raises:
        FilesOutOfReach: Files that quote a question can't be removed; nothing is erased again yet.
    """
    known = marks()
    given = YarnSupport.objects.exclude(giver="", email="", note="")
    asked = MakerQuestion.objects.exclude(name="", email="", says=ERASED).select_related("erratum")
    givers = [one for one in given if support_mark(one) in known]
    askers = [one for one in asked if question_mark(one) in known]
    for question in askers:
        remove_files_quoting(question)
    for support in givers:
        erase_giver(support)
    for question in askers:
        erase_asker(question)
    return len(givers) + len(askers)


def _gift(support: YarnSupport) -> dict[str, Any]:
    """What is kept of a gift."""
    return {
        "kind": "yarn support",
        "name": support.giver,
        "words": support.given,
        "pattern": support.pattern.title if support.pattern else "",
        "day": support.got_on,
        "note": support.note,
        "promises": [
            {"says": one.says, "due_on": one.due_on, "done_on": one.done_on} for one in support.promises.all()
        ],
    }


def _question(question: MakerQuestion, where: str) -> dict[str, Any]:
    """What is kept of a question, with the answer that it shares with those that ask the same."""
    return {
        "kind": "question",
        "name": question.name,
        "words": question.says,
        "pattern": question.pattern.title,
        "day": question.asked_on,
        "place": where,
        "version": question.version.number,
        "answer": (question.same_as or question).answer or question.answer,
    }
