"""Yarn support: who gave what, what was promised in return, and whether it is done."""

from django.db import transaction
from django.db.models import Count, Q, QuerySet

from catalogue.models import Pattern, SupportPromise, YarnSupport
from catalogue.studio.erasures import mark_erased, mark_of
from catalogue.studio.freed_pages import sweep_after_edit

SHOWN = 300


def support_list(**about: Pattern) -> QuerySet[YarnSupport]:
    """All support, or what was given for one pattern; what still has an open promise first."""
    counted = YarnSupport.objects.filter(**about).annotate(
        open_promises=Count("promises", filter=Q(promises__done_on=None)), all_promises=Count("promises")
    )
    return counted.select_related("pattern", "yarn").order_by("-open_promises", "-pk")[:SHOWN]


def support_mark(found: YarnSupport) -> str:
    """The mark by which an older backup does not bring back who gave it."""
    return mark_of("yarnsupport", found.pk, found.created_at)


@transaction.atomic
def erase_giver(found: YarnSupport) -> None:
    """Forget who gave it, with the note; what was given and promised stays."""
    sweep_after_edit()
    mark_erased(support_mark(found))
    YarnSupport.objects.filter(pk=found.pk).update(giver="", email="", note="")


@transaction.atomic
def delete_support(found: YarnSupport) -> None:
    """Delete it with its promises."""
    sweep_after_edit()
    mark_erased(support_mark(found))
    found.delete()


def add_promise(*, found: YarnSupport, promise: SupportPromise) -> None:
    """Keep what was promised in return."""
    promise.support = found
    promise.save()
