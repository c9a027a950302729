"""What is read of test calls, always limited to what the person may see."""

from django.db.models import Prefetch, Q, QuerySet
from django.utils import timezone

from catalogue.models import Person
from catalogue.studio.roles import is_studio
from testing.models import Application, Entry, Placement, Remark, Result, ResultPhoto, TestCall


def studio_calls(slug: str) -> QuerySet[TestCall]:
    """The calls of a pattern, for the studio."""
    return TestCall.objects.filter(pattern__slug=slug).select_related("pattern__sheet", "version__pattern")


def all_calls() -> QuerySet[TestCall]:
    """Every call, for work that no person asked for."""
    return TestCall.objects.select_related("pattern__sheet", "version__pattern")


def public_calls() -> QuerySet[TestCall]:
    """The calls that anybody may read: open ones, and closed ones so that a link still answers."""
    return TestCall.objects.exclude(state="draft").select_related("pattern__sheet", "version__pattern")


def open_calls() -> QuerySet[TestCall]:
    """The calls that take applications today."""
    return public_calls().filter(state="open", apply_by__gte=timezone.localdate()).order_by("apply_by")


def told_of_the_end(call: TestCall) -> QuerySet[Application]:
    """Everybody who is told when a call ends: who waits, makes or has made something."""
    told = ["applied", "waiting", "accepted", "making", "finished"]
    return call.applications.filter(state__in=told).select_related("call__pattern")


def held_places(call: TestCall) -> QuerySet[Placement]:
    """The places that are taken, or offered and not lapsed."""
    return call.placements.filter(ended_at=None).filter(
        Q(accepted_at__isnull=False) | Q(answer_by__gt=timezone.now())
    )


def own_placements(person: Person) -> QuerySet[Placement]:
    """The places a tester took and did not give back: nobody else's."""
    return (
        Placement.objects.filter(person=person, accepted_at__isnull=False, ended_at=None)
        .select_related(
            "application", "call__pattern__sheet", "call__version__pattern", "result__version__pattern"
        )
        .prefetch_related("result__entries", "result__earlier_entries")
        .prefetch_related("result__remarks__help", "result__photos")
        .order_by("-accepted_at")
    )


def ended_places(person: Person) -> QuerySet[Placement]:
    """The places that a tester once took and has no more, the latest first."""
    ended = Placement.objects.filter(person=person, accepted_at__isnull=False, ended_at__isnull=False)
    return ended.select_related("application", "call__pattern", "result").order_by("-ended_at")


def applications_of(call: TestCall) -> QuerySet[Application]:
    """Everybody who applied, with the place they have and what they sent."""
    places = Placement.objects.select_related("call", "result__version").prefetch_related(
        "result__entries", "result__photos", "result__remarks__help", "result__earlier_entries"
    )
    return call.applications.prefetch_related(Prefetch("placement", queryset=places))


def results_of(call: TestCall, entries: QuerySet[Entry] | None = None) -> QuerySet[Result]:
    """What testers sent in, those of erased testers too; `entries` says what comes along with each entry."""
    return (
        call.results.all()  # each knows its call without asking again, and whether it names testers
        .select_related("version__pattern", "placement__application")
        .prefetch_related(Prefetch("entries", entries))
    )


def remarks_of(call: TestCall) -> QuerySet[Remark]:
    """The remarks of a call, with who made them."""
    return Remark.objects.filter(result__call=call).select_related(
        "result__version__pattern", "result__placement__application", "erratum", "help"
    )


def photos_for(person: Person) -> QuerySet[ResultPhoto]:
    """Testers' pictures: their own; all for those who see all of the studio."""
    photos = ResultPhoto.objects.all()
    return photos if is_studio(person) else photos.filter(result__placement__person=person)


def result_of(placement: Placement) -> Result | None:
    """The result of a place, once there is one."""
    return getattr(placement, "result", None)
