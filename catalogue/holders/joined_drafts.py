"""Drafts of notices for holders of one pattern, put together so that each gets one e-mail."""

from collections.abc import Iterable

from django.db import transaction

from catalogue.models import Notice


@transaction.atomic
def join_drafts(*, notice: Notice, words: str = "") -> Notice | None:
    """Put all drafts for holders of a pattern into that of its newest release, for one e-mail each.

    `words` are those of this notice; all drafts' words stand below one another. None where this one or all
    others were sent, dropped or put together meanwhile: nothing is changed then.
    """
    drafts = Notice.objects.select_for_update().filter(
        version__pattern=notice.version.pattern_id, state="draft"
    )
    found = list(drafts.order_by("version__major", "version__minor"))
    if notice not in found or len(found) == 1:
        return None
    *older, newest = found
    kept = [words if one == notice else one.words for one in found]
    newest.words = below_each_other(kept)
    for one in older:
        newest.also.add(one.version_id, *one.also.values_list("pk", flat=True))
        newest.joined += [*one.joined, one.pk]
        one.delete()
    newest.save(update_fields=["words", "joined"])
    return newest


def below_each_other(words: Iterable[str]) -> str:
    """Words typed for several drafts as those of one, each once."""
    return "\n\n".join(dict.fromkeys(one.strip() for one in words if one.strip()))


def that_took_over(key: int) -> Notice | None:
    """The notice that a draft was put into, by the key that the draft had."""
    joined = Notice.objects.exclude(joined=[]).values_list("pk", "joined")
    into = next((pk for pk, keys in joined if key in keys), None)
    return Notice.objects.filter(pk=into or 0).select_related("version__pattern").first()


def other_drafts(notice: Notice) -> list[Notice]:
    """The other drafts for holders of the same pattern, the oldest first; none of a notice that went."""
    if notice.state != "draft":
        return []
    same = Notice.objects.filter(version__pattern=notice.version.pattern_id, state="draft")
    ordered = same.exclude(pk=notice.pk).order_by("version__major", "version__minor")
    return list(ordered.select_related("version__pattern"))
