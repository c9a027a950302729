"""Where a pattern stands, and the one thing it waits for."""

from dataclasses import dataclass
from typing import Any

from django.conf import settings
from django.db.models import Count, Exists, OuterRef, Q, QuerySet

from catalogue.models import Holder, Notice, Pattern, Version
from grading.models import Finding, Value


@dataclass(frozen=True)
class Standing:
    """The state in a word, what the pattern waits for, and the name of the page where that is done."""

    state: str
    waits_for: str
    page: str


def with_standing(patterns: QuerySet[Pattern]) -> QuerySet[Pattern]:
    """Add to patterns what their standing is read from."""
    stops = Finding.objects.filter(sheet=OuterRef("sheet"), weight="stop")
    open_errata = Q(errata__state__in=("reported", "confirmed"))
    drafts = Notice.objects.filter(version__pattern=OuterRef("pk"), state="draft")
    holders = Holder.objects.filter(pattern=OuterRef("version__pattern"), state="wants")
    others = holders.exclude(version=OuterRef("version"))
    return patterns.annotate(
        has_values=Exists(Value.objects.filter(sheet=OuterRef("sheet"))),
        has_stops=Exists(stops),
        open_errata=Count("errata", filter=open_errata, distinct=True),
        is_released=Exists(Version.objects.filter(pattern=OuterRef("pk"), kind="release", state="published")),
        is_in_test=Exists(Version.objects.filter(pattern=OuterRef("pk"), kind="test", state="published")),
        has_notice_to_send=Exists(drafts.filter(Exists(others))),
        is_waiting=Exists(Version.objects.filter(pattern=OuterRef("pk"), state="waiting")),
    )


def standing_of(pattern: Any) -> Standing:
    """Say where a pattern from `with_standing` stands: the first thing that holds it up, in working order."""
    state = _state(pattern)
    if not pattern.has_values:
        return Standing(state, "its first values", "sheet")
    if pattern.has_stops:
        return Standing(state, "what stops it on the sheet to be put right", "desk_pattern")
    if pattern.is_waiting:
        return Standing(state, "its editions to be made", "versions")
    if pattern.open_errata:
        count = pattern.open_errata
        return Standing(state, f"{count} {'erratum' if count == 1 else 'errata'} to be settled", "versions")
    if pattern.has_notice_to_send:
        return Standing(state, "a notice to its holders to be sent", "errata")
    if pattern.is_released:
        return Standing(state, "", "versions")
    if pattern.is_in_test:
        return Standing(state, "test makers and their results", settings.IN_TEST_PAGE)
    return Standing(state, "a test version", "versions")


def _state(pattern: Any) -> str:
    """The state in a word."""
    if pattern.is_released:
        return "published"
    return "in test" if pattern.is_in_test else "draft"
