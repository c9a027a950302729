"""Versions: their numbers, what they were frozen with, and who may see which."""

import re

from django.contrib.auth.models import AnonymousUser
from django.db.models import Q, QuerySet

from catalogue.models import Edition, Pattern, Person, Version
from catalogue.studio.roles import is_studio, may_open, opened_patterns
from catalogue.versions.freezing import Kind
from catalogue.versions.records import read_record

_NUMBER = re.compile(r"(0|[1-9][0-9]{0,3})\.(0|[1-9][0-9]{0,3})")


class NumberTaken(ValueError):
    """A number that can't be given; its text is one sentence with one that can."""


def suggest_number(pattern: Pattern, kind: Kind) -> str:
    """The next number: minor for corrections; 0.x for tests before the first release, which is 1.0."""
    last = pattern.versions.order_by("-major", "-minor").first()
    if last is None:
        return "0.1" if kind == "test" else "1.0"
    if kind == "release" and last.major == 0:
        return "1.0"
    return f"{last.major}.{last.minor + 1}"


def editions_for(person: Person | AnonymousUser) -> QuerySet[Edition]:
    """The files that a person may have: all for the studio, releases of free patterns for everybody."""
    made = Edition.objects.filter(version__state="published", state="made")
    published = made.select_related("version__pattern")
    if is_studio(person):
        return published
    is_theirs = Q(version__pattern__in=opened_patterns(person).values())
    return published.filter(Q(version__kind="release", version__pattern__is_free=True) | is_theirs)


def may_pick_edition(person: Person | AnonymousUser, pattern: Pattern) -> bool:
    """Whether a person may have an edition made for their size: all who may have its releases."""
    return pattern.is_free or may_open(person, pattern.slug)


def version_of_number(pattern: Pattern, number: str) -> Version | None:
    """The published version of this number."""
    found = studio_version(pattern, number)
    return found if found and found.state == "published" else None


def studio_version(pattern: Pattern, number: str) -> Version | None:
    """The version of this number, published or not."""
    read = _NUMBER.fullmatch(number)
    if read is None:
        return None
    found = pattern.versions.filter(major=int(read.group(1)), minor=int(read.group(2)))
    return found.select_related("pattern", "by").first()


def current_release(pattern: Pattern) -> Version | None:
    """The newest release of a pattern."""
    released = pattern.versions.filter(kind="release", state="published")
    return released.order_by("-major", "-minor").first()


def published_title(pattern: Pattern) -> str:
    """What visitors know a pattern by: the title of its current release; the draft may have another."""
    current = current_release(pattern)
    return str(read_record(current.record)["title"]) if current else pattern.title


def check_number(pattern: Pattern, number: str) -> None:
    """Refuse what is no number, or not above the last one."""
    read = _NUMBER.fullmatch(number)
    if read is None:
        raise NumberTaken(f"“{number[:20]}” is not a version number: write it like 1.0 or 1.1.")
    last = pattern.versions.order_by("-major", "-minor").first()
    if last and (int(read.group(1)), int(read.group(2))) <= last.order:
        raise NumberTaken(taken_sentence(pattern, number))


def taken_sentence(pattern: Pattern, number: str) -> str:
    """The sentence for a number that is not free, with who has it and one that is."""
    major, minor = (int(part) for part in number.split("."))
    last = pattern.versions.order_by("-major", "-minor").first()
    if last is None:
        return f"Somebody has just taken back version {number}: try again."
    free = f"{last.major}.{last.minor + 1}"
    holder = pattern.versions.filter(major=major, minor=minor).select_related("by").first()
    if holder:
        by = f" (frozen by {holder.by})" if holder.by else ""
        return f"There is a version {number} of this pattern already{by}: take {free} or a higher number."
    return f"The last version is {last.number}, and {number} comes before it: take {free} or a higher number."
