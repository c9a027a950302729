"""Opening, changing and closing a call."""

from collections.abc import Sequence
from dataclasses import asdict, dataclass

from django.db import transaction
from django.utils import timezone
from django.utils.text import slugify

from catalogue.models import Pattern, Version
from catalogue.studio.mailing import send_mail
from catalogue.versions.changes import differences
from catalogue.versions.glances import Seen, check_glance
from testing.access.links import absolute
from testing.access.selectors import held_places, told_of_the_end
from testing.calls.consent import written_day
from testing.calls.glances import call_glance, dates_glance, ending_glance
from testing.calls.schedule import Schedule, finish_day, months_after
from testing.mails.mails import post_once
from testing.models import Placement, PlaceQuota, Result, TestCall


class CallRefused(ValueError):
    """Something a call can't do now; one sentence for the designer."""


@dataclass(frozen=True)
class CallWording:
    """What a call says beside its dates and places."""

    invitation: str
    must_send: str
    in_return: str
    rules: str
    measurements: list[str]
    keep_months: int
    offer_days: int = 5
    grace_days: int = 3
    yarn_from: str = ""
    yarn_note: str = ""
    hours_from: int | None = None
    hours_to: int | None = None


@dataclass(frozen=True)
class Quota:
    """How many testers a size needs and takes."""

    size: str
    at_least: int
    at_most: int


@transaction.atomic
def create_call(
    *, pattern: Pattern, terms: CallWording, schedule: Schedule, quotas: Sequence[Quota]
) -> TestCall:
    """Store a new call that is not open yet; sizes that take nobody are left out."""
    call = TestCall.objects.create(
        pattern=pattern,
        slug=_free_slug(pattern),
        erase_on=months_after(schedule.finish_by, terms.keep_months),
        **asdict(terms),
        **asdict(schedule),
    )
    _store_quotas(call, quotas)
    return call


@transaction.atomic
def change_call(
    *,
    call: TestCall,
    terms: CallWording,
    schedule: Schedule,
    quotas: Sequence[Quota],
    seen: str | None = None,
) -> None:
    """Change all that a call says, as long as nobody but the studio has seen it.

    Raises:
        CallRefused: It was open.
        Moved: It does not say what was seen.
    """
    call = TestCall.objects.select_for_update().get(pk=call.pk)
    check_glance(seen, glance_of_call(call))
    if call.state != "draft" or call.applications.exists():
        raise CallRefused(
            "This call was open already, so only its dates can be changed. "
            "For other changes, close it and write a new one."
        )
    erase_on = months_after(schedule.finish_by, terms.keep_months)
    TestCall.objects.filter(pk=call.pk).update(erase_on=erase_on, **asdict(terms), **asdict(schedule))
    call.quotas.all().delete()
    _store_quotas(call, quotas)


@transaction.atomic
def open_call(*, call: TestCall, seen: str | None = None) -> None:
    """Let people apply; the latest test version is the one handed out.

    Raises:
        CallRefused: It can't be opened now.
        Moved: It does not say what was seen, which nobody could change any more.
    """
    call = TestCall.objects.select_for_update().get(pk=call.pk)
    if call.state == "open":
        return
    if call.state == "ended":
        raise CallRefused("This call has ended: write a new one.")
    check_glance(seen, glance_of_call(call))
    if call.apply_by < timezone.localdate():
        raise CallRefused("The last day to apply is past: choose a later one before you open the call.")
    call.state, call.closed_at = "open", None
    call.version = call.version or latest_test_version(call.pattern)
    call.save(update_fields=["state", "closed_at", "version"])


@transaction.atomic
def close_call(*, call: TestCall) -> None:
    """Take no more applications; places that were given stay."""
    TestCall.objects.filter(pk=call.pk).filter(state__in=["draft", "open"]).update(
        state="closed", closed_at=timezone.now()
    )


@transaction.atomic
def end_call(*, call: TestCall, seen: str | None = None) -> None:
    """End a call once everybody who tested was given what was promised; all who waited are told.

    Raises:
        CallRefused: Somebody was not given it.
        Moved: Those who would be told are not those who were seen, or are further by now.
    """
    call = TestCall.objects.select_for_update().get(pk=call.pk)
    check_glance(seen, ending_glance(call))
    if owed := owed_to(call):
        names = ", ".join(placement.application.name for placement in owed)
        raise CallRefused(f"Not yet given what was promised: {names}. Mark their rewards as sent first.")
    if (
        TestCall.objects.filter(pk=call.pk)
        .exclude(state="ended")
        .update(state="ended", ended_at=timezone.now(), closed_at=call.closed_at or timezone.now())
    ):
        for application in told_of_the_end(call):
            values = {"url": absolute("privacy")}
            post_once(application=application, kind="closed", occasion="ended", values=values)


def owed_to(call: TestCall) -> list[Placement]:
    """Testers who are done and have not been given what was promised."""
    done = held_places(call).filter(result__done_at__isnull=False, given_at=None)
    return list(done.select_related("application"))


@transaction.atomic
def extend_call(*, call: TestCall, schedule: Schedule, seen: str | None = None, **days: int) -> None:
    """Give a call other dates; `days` are another length of offers and other days of grace.

    The day on which personal data is erased moves only while nobody was told it.
    """
    call = TestCall.objects.select_for_update().get(pk=call.pk)
    check_glance(seen, dates_glance(call))
    is_told = call.state != "draft" or call.applications.exists()
    erase_on = call.erase_on if is_told else months_after(schedule.finish_by, call.keep_months)
    if schedule.finish_by >= erase_on:
        raise CallRefused(
            f"Applicants were told that their data is erased on {written_day(erase_on)}: "
            f"choose a finish before that day, or write a new call."
        )
    TestCall.objects.filter(pk=call.pk).update(**asdict(schedule), **days, erase_on=erase_on)
    if asdict(schedule) != {name: getattr(call, name) for name in asdict(schedule)}:
        _tell_dates(call)


@transaction.atomic
def hand_out_version(*, call: TestCall, version: Version | None) -> None:
    """Hand out a newer test version; results begun keep theirs until their tester takes the new one."""
    call = TestCall.objects.select_for_update(of=("self",)).select_related("version").get(pk=call.pk)
    whole = call.pattern.versions.filter(kind="test", state="published")
    if version is None or not whole.filter(pk=version.pk).exists():
        raise CallRefused("Only a finished test version of this pattern can be handed out.")
    if call.version and version.order <= call.version.order:
        raise CallRefused(f"Test version {call.version.number} is handed out already: testers keep it.")
    changed = changed_steps(call.version, version)
    TestCall.objects.filter(pk=call.pk).update(version=version)
    Result.objects.filter(call=call, entries__isnull=True, remarks__isnull=True).update(version=version)
    for placement in held_places(call).filter(accepted_at__isnull=False).select_related("application"):
        _mail_version(placement, version, changed)


def changed_steps(old: Version | None, new: Version) -> list[str]:
    """Name the steps that differ, such as "Back, step 5"; nothing before the first version."""
    if old is None or old.pk == new.pk:
        return []
    return list(dict.fromkeys(f"{one.section}, step {one.step}" for one in differences(old, new).words))


def glance_of_call(call: TestCall) -> Seen:
    """What is seen of a call before it is opened."""
    version = call.version or latest_test_version(call.pattern)
    return call_glance(call, version.number if version else "")


def latest_test_version(pattern: Pattern) -> Version | None:
    """The newest test version that is whole."""
    return pattern.versions.filter(kind="test", state="published").last()


def _tell_dates(call: TestCall) -> None:
    """Tell everybody who is still making it that the dates have changed."""
    making = held_places(call).filter(accepted_at__isnull=False, result__done_at=None)
    for placement in making.select_related("application__call__pattern", "application__placement", "call"):
        tell_dates(placement)


def _store_quotas(call: TestCall, quotas: Sequence[Quota]) -> None:
    """Store the places of a call; sizes that take nobody are left out."""
    PlaceQuota.objects.bulk_create(
        PlaceQuota(call=call, position=position, **asdict(quota))
        for position, quota in enumerate(quotas)
        if quota.at_most
    )


def _mail_version(placement: Placement, version: Version, changed: list[str]) -> None:
    """Tell a tester which steps changed."""
    send_mail(
        to=placement.application.email,
        template="new_version",
        context={
            "name": placement.application.name,
            "title": version.pattern.title,
            "number": version.number,
            "changed": changed,
            "url": absolute("making", placement.pk),
        },
        about=placement.application,
    )


def _free_slug(pattern: Pattern) -> str:
    """An address for the call: the pattern's own, numbered from the second call on."""
    count = pattern.test_calls.count()
    slug = pattern.slug if not count else f"{pattern.slug}-{count + 1}"
    while TestCall.objects.filter(slug=slug).exists():
        count += 1
        slug = slugify(f"{pattern.slug}-{count + 1}")
    return slug


def tell_dates(placement: Placement, *, is_asked: bool = False) -> None:
    """Tell one tester of other dates, or of those they asked for; each change is an occasion of its own."""
    post_once(
        application=placement.application,
        kind="more_time" if is_asked else "dates",
        occasion=timezone.now().isoformat(),
        values={"date": written_day(finish_day(placement))},
    )
