"""Who asked, and their words: erased on request, here and in what was made of them."""

from django.db import transaction

from catalogue.errata.quotes import ERASED, remove_sheets, unquote
from catalogue.models import Erratum, MakerQuestion
from catalogue.studio.erasures import mark_erased, mark_of
from catalogue.studio.freed_pages import sweep_after_edit


def question_mark(found: MakerQuestion) -> str:
    """The mark by which an older backup does not bring back who asked."""
    return mark_of("makerquestion", found.pk, found.stored_at)


def remove_files_quoting(found: MakerQuestion) -> None:
    """Take away the corrections kept as files that may quote a question, before its words go.

    Raises:
        FilesOutOfReach: They can't be removed.
    """
    if _errata_of(found):
        remove_sheets()


@transaction.atomic
def erase_asker(found: MakerQuestion) -> None:
    """Forget who asked, and their words: here, on the pattern's page and in the erratum made of them.

    The answer stays in the studio.

    Files that quote them are the caller's to remove first.
    """
    sweep_after_edit()
    mark_erased(question_mark(found))
    _unquote(found)
    MakerQuestion.objects.filter(pk=found.pk).update(
        name="", email="", says=ERASED, shown_as="", shown_answer="", shown_at=None
    )


@transaction.atomic
def change_words(*, found: MakerQuestion, says: str) -> None:
    """Keep other words of a question; the old ones leave the erratum that was made of them, too.

    Files that quote them are the caller's to remove first.
    """
    if says == found.says:
        return
    sweep_after_edit()
    _unquote(found)
    found.says = says
    found.save(update_fields=["says"])


@transaction.atomic
def delete_question(found: MakerQuestion) -> None:
    """Delete a question, with its words in the erratum that was made of them.

    Where others asked the same, the next of them takes its place, and takes over what it has not itself.
    Files that quote it are the caller's to remove first.
    """
    sweep_after_edit()
    mark_erased(question_mark(found))
    _unquote(found)
    again = list(found.again.order_by("asked_on", "pk"))
    for one in again:
        one.same_as = again[0] if one is not again[0] else None
    if again:
        if not again[0].answer:
            again[0].answer, again[0].answered_at = found.answer, found.answered_at
        again[0].erratum = again[0].erratum or found.erratum
        again[0].clearer_in = again[0].clearer_in or found.clearer_in
        taken = ("same_as", "answer", "answered_at", "erratum", "clearer_in")
        MakerQuestion.objects.bulk_update(again, taken)
    found.delete()


def _unquote(found: MakerQuestion) -> None:
    """Take the words of a question out of all errata that were made of them."""
    if found.says != ERASED:
        for one in _errata_of(found):
            unquote(erratum=one, words=found.says, maker="")


def _errata_of(found: MakerQuestion) -> list[Erratum]:
    """The erratum that a question leads to, and those that it led to before."""
    return [*([found.erratum] if found.erratum else ()), *found.earlier_errata.all()]
