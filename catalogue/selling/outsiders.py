"""What is kept about people outside the studio: who gave yarn and who asked; given out, and erased."""

from typing import Any

from django.db.models import CharField, F, Value

from catalogue.errata.quotes import ERASED
from catalogue.models import MakerQuestion, YarnSupport
from catalogue.questions.erasing import erase_asker, question_mark, remove_files_quoting
from catalogue.selling.support import erase_giver, support_mark
from catalogue.studio.erasures import marks


def held_about_outsider(email: str) -> list[dict[str, Any]]:
    """What is kept under an e-mail address, in one query."""
    given = _rows(YarnSupport.objects.filter(email__iexact=email), "yarn support", "giver", "given")
    asked = _rows(MakerQuestion.objects.filter(email__iexact=email), "question", "name", "says")
    return [{"kind": kind, "name": name, "words": words} for kind, name, words in given.union(asked)]


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
    """Erase what was erased after a backup that was put back; return how many rows that were."""
    known, count = marks(), 0
    for support in YarnSupport.objects.exclude(giver="", email="", note=""):
        if support_mark(support) in known:
            erase_giver(support)
            count += 1
    for question in MakerQuestion.objects.exclude(name="", email="", says=ERASED).select_related("erratum"):
        if question_mark(question) in known:
            erase_asker(question)
            count += 1
    return count


def _rows(found: Any, kind: str, name: str, words: str) -> Any:
    """Rows of a table as kind, name and words."""
    named = found.annotate(kind=Value(kind, CharField()), who=F(name), what=F(words))
    return named.order_by().values_list("kind", "who", "what")
