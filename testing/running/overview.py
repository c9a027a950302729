"""What the studio sees of a call at a glance."""

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from django.core.paginator import Page
from django.db.models import Case, Q, QuerySet, Value, When
from django.utils import timezone

from catalogue.models import Version
from catalogue.versions.glances import written_glance
from testing.access.lengths import length_in
from testing.access.long_lists import page_of
from testing.access.selectors import held_places, result_of
from testing.access.typed import as_typed
from testing.asked.figures import Figures, call_figures, version_figures
from testing.calls.calls import latest_test_version
from testing.calls.consent import written_day
from testing.calls.glances import application_glance, place_glance
from testing.calls.schedule import finish_day
from testing.models import Application, Assessment, Placement, Result, TestCall
from testing.places.forms import PlaceForm
from testing.places.proposal_notes import is_early
from testing.places.returning import RUNNING, may_return_until
from testing.places.seats import SeatRow, seat_rows
from testing.results.answers import gauges_off
from testing.results.progress import Progress, lateness, tester_progress
from testing.results.untested import untested_of_call
from testing.verdicts.sentences import for_second


@dataclass(frozen=True)
class ShownApplicant:
    """Somebody who applied, with what they wrote and the form that gives them a place."""

    application: Application
    body: list[tuple[str, str]]
    form: PlaceForm | None
    seen: str


@dataclass(frozen=True)
class Tester:
    """Somebody with a place: progress in words, and what is late."""

    placement: Placement
    progress: Progress
    finish_by: dt.date
    late: str
    is_done: bool
    works_from: str
    seen: str
    result: Result | None
    gauges_off: list[str]

    @property
    def says_late(self) -> str:
        """Who is late with what."""
        says = f"{self.placement.application.name}, size {self.placement.size}. {self.late}"
        return f"{says} Last reminded on {written_day(self.reminded_on)}." if self.reminded_on else says

    @property
    def reminded_on(self) -> dt.date | None:
        """The day of the last reminder."""
        mails = self.placement.application.sent_mails.all()
        return max(
            (timezone.localdate(one.queued_at) for one in mails if one.kind in ("reminder", "late")),
            default=None,
        )


@dataclass(frozen=True)
class GivenBack:
    """A place that its tester gave back and nobody holds, and until when it can be taken back."""

    placement: Placement
    until: dt.datetime | None


@dataclass(frozen=True)
class Overview:
    """Everything on the page of a call."""

    seats: list[SeatRow]
    page: Page[Application]
    applicants: list[ShownApplicant]
    testers: list[Tester]
    newer_version: Version | None
    is_early: bool
    hoping: int  # applicants who wait for a place, where one is free
    untested: str
    given_back: list[GivenBack]

    @property
    def late(self) -> list[Tester]:
        """Testers with something late."""
        return [tester for tester in self.testers if tester.late]

    @property
    def asking(self) -> list[Tester]:
        """Testers who ask for more time."""
        return [tester for tester in self.testers if tester.placement.asks_until]

    @property
    def free(self) -> list[str]:
        """The sizes with places that nobody holds."""
        return [row.size for row in self.seats if not row.is_full]

    @property
    def done(self) -> int:
        """How many testers are done."""
        return sum(tester.is_done for tester in self.testers)

    @property
    def to_place(self) -> list[ShownApplicant]:
        """Applicants of this page whom a place can be given to."""
        return [one for one in self.applicants if one.form]

    @property
    def settled(self) -> list[ShownApplicant]:
        """Applicants of this page who have a place, or whom none can be given to."""
        return [one for one in self.applicants if not one.form]


def overview_of(call: TestCall, today: dt.date, page: str = "", units: str = "cm") -> Overview:
    """Gather the page of a call, with one page of its applications; bodies are told in the reader's units."""
    held = list(
        held_places(call)
        .select_related("application", "result__version")
        .prefetch_related("application__sent_mails", "result__entries", "result__photos", "result__remarks")
    )
    figures = call_figures(call)
    seats = seat_rows(call.quotas.all(), held, _for_second(call, figures.pattern.sizes, held))
    labels = {one.name: one.label for one in figures.body}
    free = [row.size for row in seats if not row.is_full]
    latest = latest_test_version(call.pattern)
    shown = page_of(_in_order_of_need(call, has_places=bool(free)), page)
    return Overview(
        seats=seats,
        page=shown,
        applicants=[_applicant(one, labels, [] if one.is_settled else free, units) for one in shown],
        testers=[_tester(placement, figures, today, units) for placement in held if placement.accepted_at],
        newer_version=latest if latest and latest.pk != call.version_id else None,
        is_early=is_early(call) and any(not one.is_settled for one in shown),
        hoping=call.applications.filter(state__in=Application.PROPOSED).count() if free else 0,
        untested=untested_of_call(call),
        given_back=_given_back(call, seats),
    )


def _given_back(call: TestCall, seats: Sequence[SeatRow]) -> list[GivenBack]:
    """The places that testers gave back last, in each size no more than are free, while the call runs."""
    free = {row.size: row.free for row in seats if not row.is_full}
    if call.state not in RUNNING or not free:
        return []
    ended = call.placements.filter(application__state="withdrawn", ended_at__isnull=False, size__in=free)
    places = (
        ended.filter(accepted_at__isnull=False).select_related("application").order_by("-ended_at", "-pk")
    )
    shown: dict[str, list[GivenBack]] = {size: [] for size in free}
    for one in places:
        if len(shown[one.size]) < free[one.size]:
            shown[one.size].append(GivenBack(one, may_return_until(one)))
    return [one for of_size in shown.values() for one in of_size]


def _for_second(call: TestCall, sizes: Sequence[str], held: Iterable[Placement]) -> set[str]:
    """The sizes in which the results, as they were assessed last, ask for a second maker."""
    stored = Assessment.objects.filter(call=call).first()
    if stored is None:
        return set()
    by_size = Counter(one.size for one in held)
    places = [by_size[size] for size in sizes]
    measured = stored.found["measurements"].values()
    return {size for one in measured for size in for_second(one, sizes, one["results"], places)}


def _in_order_of_need(call: TestCall, *, has_places: bool) -> QuerySet[Application, Any]:
    """The applications: those first who wait for a place, then those who withdrew, then those settled."""
    has_place = Q(pk__in=held_places(call).values("application_id"))
    settled = Case(When(has_place | Q(state="finished"), then=Value(True)), default=Value(False))
    is_past = Case(When(state__in=Application.PROPOSED, then=Value(False)), default=Value(True))
    ordered = call.applications.annotate(is_settled=settled, is_past=is_past)
    return ordered.order_by("is_settled", "is_past", "created_at", "pk") if has_places else ordered


def _applicant(
    application: Application, labels: dict[str, str], free: list[str], units: str
) -> ShownApplicant:
    """What an applicant wrote; a form while they have no place and there is one."""
    body = [
        (labels.get(name, name), _length(typed, application.body_mm.get(name), application.units, units))
        for name, typed in application.typed_body.items()
    ]
    form = PlaceForm(application=application, sizes=free) if free else None
    return ShownApplicant(application, body, form, written_glance(application_glance(application)))


def _tester(placement: Placement, figures: Figures, today: dt.date, units: str) -> Tester:
    """How far a tester is, by the version of their result, or by the call's before there is one."""
    result = result_of(placement)
    version = result.version if result else placement.call.version
    own = version_figures(result.version) if result else figures
    progress = tester_progress(placement, own)
    return Tester(
        placement=placement,
        progress=progress,
        finish_by=finish_day(placement),
        late=lateness(placement, progress, today),
        is_done=bool(result and result.done_at),
        works_from=version.number if version else "",
        seen=written_glance(place_glance(placement)),
        result=result,
        gauges_off=gauges_off(placement, own.fabrics, units),
    )


def _length(typed: str, length_mm: float | None, typed_in: str, units: str) -> str:
    """A length as typed; where the reader has other units, in those, with what was typed beside it."""
    shown = as_typed(typed, typed_in)
    if length_mm is None or typed_in == units:
        return shown
    return f"{length_in(length_mm, units)} (typed {shown})"
