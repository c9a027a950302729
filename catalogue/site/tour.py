"""The tour of the demo: five stops for somebody who sees the studio for the first time."""

from collections.abc import Callable
from dataclasses import dataclass

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from catalogue.models import Edition, Pattern
from catalogue.studio.roles import designer_required
from testing.models import TestCall

KEY = "tour"


@dataclass(frozen=True)
class Stop:
    """A stop of the tour: what is seen there, and the address of its page."""

    title: str
    says: str
    address: Callable[[], str]


def _first_pattern() -> Pattern:
    """The pattern that the demo tells most about."""
    return Pattern.objects.get(slug="brackenmere-pullover")


def _sheet() -> str:
    """The sheet of the pattern."""
    return reverse("sheet", args=[_first_pattern().slug])


def _rows() -> str:
    """Its rows, worked in every size."""
    return reverse("row_by_row", args=[_first_pattern().slug])


def _results() -> str:
    """The results of the first call that has some."""
    call = TestCall.objects.filter(results__isnull=False).order_by("pk").first()
    if call is None:
        return reverse("calls", args=[_first_pattern().slug])
    return reverse("call_results", args=[call.pattern.slug, call.pk])


def _errata() -> str:
    """Its versions and errata."""
    return reverse("versions", args=[_first_pattern().slug])


def _pdf() -> str:
    """The page of its newest version, whose PDF visitors may take."""
    edition = Edition.objects.filter(version__pattern=_first_pattern(), version__kind="release").last()
    if edition is None:
        return _errata()
    return reverse("version", args=[edition.version.pattern.slug, edition.version.number])


STOPS = (
    Stop(
        "The sheet",
        "Each line has a number in every size. Click a number to see where it comes from, or type over it.",
        _sheet,
    ),
    Stop(
        "Row by row",
        "Every written row is worked in every size. A count that is wrong is shown before a tester meets it.",
        _rows,
    ),
    Stop(
        "Results",
        "What testers measured, at their own gauge: is it the pattern, the gauge or the tape?",
        _results,
    ),
    Stop(
        "Errata",
        "Known mistakes, and the versions they are in. Those who have one are told when it is corrected.",
        _errata,
    ),
    Stop(
        "The PDF",
        "A version makes PDFs in all sizes or one, in cm or inches, in UK or US terms. Open one.",
        _pdf,
    ),
)


def stop_shown(request: HttpRequest) -> int | None:
    """The number of the stop that this person is at, from 1; None where the tour was left or never begun."""
    number = request.session.get(KEY)
    return number if isinstance(number, int) and 1 <= number <= len(STOPS) else None


@designer_required
@require_safe
def tour(request: HttpRequest) -> HttpResponse:
    """The five stops, each to be gone to by itself."""
    return render(request, "site/tour.html", {"stops": STOPS})


@designer_required
@require_POST
def tour_stop(request: HttpRequest, number: int) -> HttpResponse:
    """Go to a stop; past the last one the tour ends where it began."""
    if not 1 <= number <= len(STOPS):
        return _left(request)
    request.session[KEY] = number
    return redirect(STOPS[number - 1].address())


@designer_required
@require_POST
def tour_leave(request: HttpRequest) -> HttpResponse:
    """Leave the tour; it can be begun again."""
    return _left(request)


def _left(request: HttpRequest) -> HttpResponse:
    """Back to the patterns, without a stop."""
    request.session.pop(KEY, None)
    return redirect("desk")
