"""Who may do what: designer and editor by group, testers by their places, visitors by nothing."""

from collections.abc import Callable
from functools import wraps
from typing import Any
from urllib.parse import urlsplit, urlunsplit

from django.contrib import messages
from django.contrib.auth.models import AnonymousUser, Group
from django.contrib.auth.views import redirect_to_login
from django.http import Http404, HttpRequest, HttpResponseBase

from catalogue.models import PatternAccess, Person

DESIGNER = "designer"
EDITOR = "editor"
PUBLISHER = "may publish"
PATTERN_EDITOR = "editor of patterns"  # of those alone that PatternAccess names

View = Callable[..., HttpResponseBase]


def roles_of(person: Person | AnonymousUser) -> frozenset[str]:
    """The groups of a person, read once per request object."""
    if not isinstance(person, Person) or not person.is_active:
        return frozenset()
    known = getattr(person, "known_roles", None)
    if known is None:
        known = frozenset(person.groups.values_list("name", flat=True))
        person.known_roles = known  # type: ignore[attr-defined]
    return known


def give_role(*, person: Person, role: str) -> None:
    """Put a person into a group of the studio."""
    group, _ = Group.objects.get_or_create(name=role)
    person.groups.add(group)


def is_designer(person: Person | AnonymousUser) -> bool:
    """Whether the person owns the studio's patterns."""
    return DESIGNER in roles_of(person)


def is_studio(person: Person | AnonymousUser) -> bool:
    """Whether the person sees all of the studio: designer, or editor of all patterns."""
    return bool(roles_of(person) & {DESIGNER, EDITOR})


def is_pattern_editor(person: Person | AnonymousUser) -> bool:
    """Whether the person is an editor who sees single patterns alone."""
    return PATTERN_EDITOR in roles_of(person) and not is_studio(person)


def is_on_desk(person: Person | AnonymousUser) -> bool:
    """Whether the person has a desk and a password: all of the studio, and editors of single patterns."""
    return is_studio(person) or is_pattern_editor(person)


def is_editor(person: Person | AnonymousUser) -> bool:
    """Whether the person signs off technical edits, be it of single patterns."""
    return EDITOR in roles_of(person) or is_pattern_editor(person)


def opened_patterns(person: Person | AnonymousUser) -> dict[str, int]:
    """The patterns of an editor who sees those alone: keys by slug; read once per request object."""
    if not isinstance(person, Person) or not is_pattern_editor(person):
        return {}
    known: dict[str, int] | None = getattr(person, "known_patterns", None)
    if known is None:
        given = PatternAccess.objects.filter(person=person)
        known = dict(given.values_list("pattern__slug", "pattern"))
        person.known_patterns = known  # type: ignore[attr-defined]
    return known


def may_open(person: Person | AnonymousUser, slug: str) -> bool:
    """Whether the person works on a pattern."""
    return is_studio(person) or slug in opened_patterns(person)


def may_publish(person: Person | AnonymousUser) -> bool:
    """Whether the person may freeze and release versions."""
    return bool(roles_of(person) & {DESIGNER, PUBLISHER})


def _to_sign_in(request: HttpRequest) -> HttpResponseBase:
    """Sign in first; a button leads back to the page that it stood on, as its own address may be none."""
    if request.method in ("GET", "HEAD"):
        return redirect_to_login(request.get_full_path())
    messages.warning(
        request, "Nothing was done yet: you were signed out. Sign in, then press the button again."
    )
    came_from = urlsplit(request.headers.get("Referer", ""))
    is_ours = came_from.netloc == request.get_host() and came_from.path.startswith("/")
    return redirect_to_login(
        urlunsplit(("", "", came_from.path, came_from.query, "")) if is_ours else request.get_full_path()
    )


def _require(
    allowed: Callable[[Person | AnonymousUser], bool], *, of_pattern: bool = False
) -> Callable[[View], View]:
    """Nobody is asked to sign in; anybody else gets the answer for a page that does not exist.

    With `of_pattern` the pages of a pattern are open to an editor of that one too, and pages of none are not.
    """

    def decorate(view: View) -> View:
        @wraps(view)
        def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
            if not request.user.is_authenticated:
                return _to_sign_in(request)
            is_theirs = of_pattern and str(kwargs.get("slug", "")) in opened_patterns(request.user)
            if not allowed(request.user) and not is_theirs:
                raise Http404
            return view(request, *args, **kwargs)

        return guarded

    return decorate


studio_required = _require(is_studio, of_pattern=True)
whole_studio_required = _require(is_studio)
desk_required = _require(is_on_desk)
designer_required = _require(is_designer)
editor_required = _require(lambda person: EDITOR in roles_of(person), of_pattern=True)
publisher_required = _require(may_publish)
signed_in_required = _require(lambda person: person.is_authenticated)
