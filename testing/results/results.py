"""What testers send in, saved piece by piece."""

from collections.abc import Iterable
from typing import Any

from django.db import transaction
from django.utils import timezone

from catalogue.errata.quotes import unquote
from catalogue.models import Help
from catalogue.versions.glances import check_glance
from testing.assessment.assessing import refresh_assessment
from testing.mails.mails import post_once
from testing.models import Application, EarlierEntry, Entry, Placement, Remark, Result, TestCall
from testing.results.entry_glances import Asked, stored_glance


class NoVersionYet(ValueError):
    """There is no test version to work from yet."""


PICTURES = "results"  # the folder of testers' pictures, one within for each result


@transaction.atomic
def begin_result(*, placement: Placement) -> Result:
    """The result of a place, begun with the version that the call hands out now."""
    call = placement.call
    if call.version_id is None:
        raise NoVersionYet
    Placement.objects.select_for_update().filter(pk=placement.pk).first()  # nobody frees it unheard meanwhile
    result, is_new = Result.objects.get_or_create(
        placement=placement, defaults={"call": call, "version_id": call.version_id, "size": placement.size}
    )
    if is_new:
        Entry.objects.bulk_create(
            Entry(result=result, part="option", name=name, typed={"choice": choice}, meant={"choice": choice})
            for name, choice in placement.options.items()
        )
        Application.objects.filter(pk=placement.application_id, state="accepted").update(state="making")
    return result


@transaction.atomic
def save_entry(
    *,
    placement: Placement,
    part: str,
    name: str,
    typed: dict[str, Any],
    meant: dict[str, Any],
    seen: str | None = None,
) -> Entry:
    """Keep one thing as typed beside what it means; a later one takes its place, and the earlier is kept.

    Raises:
        Moved: Another answer came in since this one was begun.
    """
    result = begin_result(placement=placement)
    before = Entry.objects.select_for_update().filter(result=result, part=part, name=name).first()
    if before and (before.typed, before.meant) == (typed, meant):
        return before
    check_glance(seen, stored_glance(placement, Asked(part, name)))
    if before:
        keep_earlier([before])
    entry, _ = Entry.objects.update_or_create(
        result=result,
        part=part,
        name=name,
        defaults={"typed": typed, "meant": meant, "is_confirmed": False},
    )
    refresh_assessment.enqueue(call_id=placement.call_id)
    return entry


@transaction.atomic
def drop_entry(*, placement: Placement, part: str, name: str) -> None:
    """Take one thing back; what it said is kept among the earlier ones."""
    entries = Entry.objects.filter(result__placement=placement, part=part, name=name)
    keep_earlier(entries)
    entries.delete()
    refresh_assessment.enqueue(call_id=placement.call_id)


@transaction.atomic
def keep_part(
    *,
    placement: Placement,
    part: str,
    entries: dict[str, tuple[dict[str, Any], dict[str, Any]]],
    seen: str | None = None,
) -> None:
    """Keep a part as it stands on its page, typed and meant by name; what is not there any more goes.

    Raises:
        Moved: Other answers came in since these were begun.
    """
    Placement.objects.select_for_update().filter(pk=placement.pk).first()
    before = Entry.objects.filter(result__placement=placement, part=part)
    stored = {one.name: (one.typed, one.meant) for one in before}
    if stored != entries:
        check_glance(seen, stored_glance(placement, Asked(part)))
    for name, (typed, meant) in entries.items():
        save_entry(placement=placement, part=part, name=name, typed=typed, meant=meant)
    gone = Entry.objects.filter(result__placement=placement, part=part).exclude(name__in=entries)
    for name in gone.values_list("name", flat=True):
        drop_entry(placement=placement, part=part, name=name)


@transaction.atomic
def confirm_entry(*, placement: Placement, part: str, name: str) -> None:
    """The tester was asked about a likely slip and says that it is right as it is."""
    Entry.objects.filter(result__placement=placement, part=part, name=name).update(is_confirmed=True)
    refresh_assessment.enqueue(call_id=placement.call_id)


@transaction.atomic
def add_remark(*, placement: Placement, place: str, text: str, kind: str = "", help_code: str = "") -> Remark:
    """Keep a remark on a step of the version in hand; the same one sent again is kept once.

    `help_code` is that of the help at which the tester was stuck; sent again, it is kept where none was told.
    """
    result = only_writer(begin_result(placement=placement))
    stuck_at = Help.objects.filter(code=help_code).first() if help_code else None
    kept = {"kind": kind, "help": stuck_at}
    remark, is_new = Remark.objects.get_or_create(result=result, place=place, text=text, defaults=kept)
    if stuck_at and not is_new and remark.help_id is None:
        remark.help = stuck_at
        remark.save(update_fields=["help"])
    return remark


@transaction.atomic
def change_remark(*, remark: Remark, text: str) -> bool:
    """Say otherwise what was remarked; False where the studio has made an erratum of it."""
    only_writer(Result.objects.get(pk=remark.result_id))
    return bool(Remark.objects.filter(pk=remark.pk, erratum=None).update(text=text, settled_at=None))


@transaction.atomic
def delete_remark(*, remark: Remark) -> None:
    """Take a remark back; an erratum made of it stays without its words."""
    result = only_writer(Result.objects.get(pk=remark.result_id))
    if found := result.remarks.select_related("erratum").filter(pk=remark.pk).first():
        if found.erratum:
            unquote(erratum=found.erratum, words=found.text, maker=f", size {result.size}")
        found.delete()


@transaction.atomic
def take_version(*, placement: Placement, number: str) -> bool:
    """The tester works from the newer version from now on; False where that is not the one they saw."""
    call = (
        TestCall.objects.select_for_update(of=("self",)).select_related("version").get(pk=placement.call_id)
    )
    if call.version is None or call.version.number != number:
        return False
    Result.objects.filter(placement=placement).update(version_id=call.version_id)
    return True


@transaction.atomic
def finish_result(*, placement: Placement) -> Result:
    """The tester is done and thanked; more can still be sent."""
    TestCall.objects.select_for_update().get(pk=placement.call_id)  # nobody ends it, or the place, meanwhile
    result = begin_result(placement=placement)
    if result.done_at is None:
        Result.objects.filter(pk=result.pk).update(done_at=timezone.now())
        making = Application.objects.filter(pk=placement.application_id, placement__ended_at=None)
        making.update(state="finished")
        post_once(application=placement.application, kind="thanks", occasion="done", values={})
    return result


@transaction.atomic
def reopen_result(*, placement: Placement) -> None:
    """The tester goes on after all; nothing that was sent changes."""
    TestCall.objects.select_for_update().get(pk=placement.call_id)  # nobody ends it, or the place, meanwhile
    Result.objects.filter(placement=placement).update(done_at=None)
    finished = Application.objects.filter(pk=placement.application_id, placement__ended_at=None)
    finished.filter(state="finished").update(state="making")


def keep_earlier(entries: Iterable[Entry]) -> None:
    """Keep what entries say before they are replaced or taken back."""
    EarlierEntry.objects.bulk_create(
        EarlierEntry(
            result_id=entry.result_id,
            part=entry.part,
            name=entry.name,
            typed=entry.typed,
            meant=entry.meant,
            sent_at=entry.changed_at,
        )
        for entry in entries
    )


def only_writer(result: Result) -> Result:
    """Wait for whoever adds to the same result: a phone may send again before the first answer is back."""
    return Result.objects.select_for_update().get(pk=result.pk)
