"""What to do next in a pattern that is in test, for its line on the desk."""

from typing import Any

from django.db.models import Count, Exists, OuterRef, Subquery
from django.db.models.functions import Coalesce

from catalogue.models import Pattern
from testing.models import Application, Placement, TestCall


def call_facts() -> dict[str, Any]:
    """What `next_in_test` reads of a pattern, to be added to a query of patterns."""
    calls = TestCall.objects.filter(pattern=OuterRef("pk")).exclude(state="ended")
    taken = Placement.objects.filter(call__pattern=OuterRef("pk"), accepted_at__isnull=False, ended_at=None)
    hoping = Application.objects.filter(
        call__pattern=OuterRef("pk"), call__state__in=("open", "closed"), state__in=Application.PROPOSED
    )
    counted = hoping.order_by().values("call__pattern").annotate(number=Count("pk")).values("number")
    return {
        "has_call": Exists(calls),
        "has_tester": Exists(taken),
        "applied": Coalesce(Subquery(counted), 0),
    }


def next_in_test(pattern: Pattern) -> tuple[str, str, bool]:
    """What to do next in a pattern with its `call_facts`, the page for it, and whether only designers may."""
    facts: Any = pattern
    if facts.has_tester:
        return "Look at the testers and their results", "calls_now", False
    if not facts.has_call:
        return "Write a test call", "call_new", True
    if facts.applied:
        return f"Answer {facts.applied} application{'' if facts.applied == 1 else 's'}", "calls_now", True
    return "Look at the test call", "calls_now", False
