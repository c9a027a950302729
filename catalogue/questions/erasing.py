"""Who asked, and their words: erased on request, here and in what was made of them."""

from django.db import transaction

from catalogue.errata.quotes import ERASED, remove_sheets, unquote
from catalogue.models import MakerQuestion
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
    if found.erratum_id:
        remove_sheets()


@transaction.atomic
def erase_asker(found: MakerQuestion) -> None:
    """Forget who asked, and their words here and in the erratum that was made of them; the answer stays.

    Files that quote them are the caller's to remove first.
    """
    sweep_after_edit()
    mark_erased(question_mark(found))
    if found.erratum and found.says != ERASED:
        unquote(erratum=found.erratum, words=found.says, maker="")
    MakerQuestion.objects.filter(pk=found.pk).update(name="", email="", says=ERASED)


@transaction.atomic
def delete_question(found: MakerQuestion) -> None:
    """Delete a question; where others asked the same, the next of them takes its place."""
    sweep_after_edit()
    mark_erased(question_mark(found))
    again = list(found.again.order_by("asked_on", "pk"))
    for one in again:
        one.same_as = again[0] if one is not again[0] else None
    if again:
        kept = ("answer", "answered_at", "erratum", "clearer_in")
        for name in kept:
            setattr(again[0], name, getattr(found, name))
        MakerQuestion.objects.bulk_update(again, ("same_as", *kept))
    found.delete()
