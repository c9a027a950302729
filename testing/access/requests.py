"""What the pages of the test calls have in common."""

from collections.abc import Iterable
from typing import Protocol, TypeVar

from django.core.files import File
from django.core.files.storage import default_storage
from django.db.models import QuerySet
from django.http import Http404, HttpRequest, QueryDict
from django.shortcuts import get_object_or_404

from catalogue.models import Person
from catalogue.studio.roles import is_studio
from testing.access.selectors import ended_places, own_placements, studio_calls
from testing.access.typed import UNIT_NAMES
from testing.models import Placement, TestCall


class SignedInRequest(HttpRequest):
    """A request of somebody who has signed in."""

    user: Person


class PlaceOver(Http404):
    """A page of a place that somebody had and has no more; the answer says so."""

    def __init__(self, placement: Placement) -> None:
        super().__init__()
        self.placement = placement


class QuestionGone(Http404):
    """A question that the tester's version does not ask; the answer leads back to those that it does."""

    def __init__(self, placement: Placement) -> None:
        super().__init__()
        self.placement = placement


class ApplicationGone(Http404):
    """An application that was taken back, or whose time was over; the answer says so."""


class NamedPart(Protocol):
    """A part of a pattern with a name."""

    @property
    def name(self) -> str:
        """The name of the part."""


Part = TypeVar("Part", bound=NamedPart)


def sent(request: HttpRequest) -> QueryDict | None:
    """What was sent with a form; None while it is only looked at."""
    return request.POST if request.method == "POST" else None


def asked_units(request: SignedInRequest) -> str:
    """The units that a question was asked in: a page that was kept may be older than a change of units."""
    said = request.POST.get("asked_in", "")
    return said if said in UNIT_NAMES else request.user.units


def call_or_404(request: HttpRequest, slug: str, pk: int) -> TestCall:
    """A call of the pattern in the address; it names its testers to all of the studio alone."""
    call = get_object_or_404(studio_calls(slug), pk=pk)
    call.names_testers = is_studio(request.user)
    return call


def working_places(person: Person) -> QuerySet[Placement]:
    """The person's own places for which there is a test copy."""
    return own_placements(person).filter(call__version__isnull=False)


def own_place_or_404(request: SignedInRequest, pk: int) -> Placement:
    """One of the person's own places for which there is a test copy."""
    return _open_place_or_404(request.user, working_places(request.user), pk)


def place_or_404(request: SignedInRequest, pk: int) -> Placement:
    """One of the person's own places, with or without a test copy."""
    return _open_place_or_404(request.user, own_placements(request.user), pk)


def known_testers() -> QuerySet[Person]:
    """People who took a place."""
    return Person.objects.filter(placements__accepted_at__isnull=False).distinct()


def part_or_404(parts: Iterable[Part], name: str) -> Part:
    """The part of this name."""
    for part in parts:
        if part.name == name:
            return part
    raise Http404


def question_or_404(placement: Placement, parts: Iterable[Part], name: str) -> Part:
    """The part that a tester is asked about, in the version that they work from."""
    found = next((part for part in parts if part.name == name), None)
    if found is None:
        raise QuestionGone(placement)
    return found


def _open_place_or_404(person: Person, places: QuerySet[Placement], pk: int) -> Placement:
    """A place among those that are open; one that is over is named, so that no kept link leads nowhere."""
    placement = places.filter(pk=pk).first()
    if placement:
        return placement
    if over := ended_places(person).filter(pk=pk).first():
        raise PlaceOver(over)
    raise Http404


def picture_or_404(name: str) -> File[bytes]:
    """A stored picture; its file goes first when its row is being erased."""
    try:
        return default_storage.open(name)
    except FileNotFoundError:
        raise Http404 from None
