"""The dates of test calls, for the list of what is to be done by when."""

import datetime as dt

from django.db.models import Exists, OuterRef, Q
from django.urls import reverse

from catalogue.selling.dates import MOST, Due
from testing.models import Placement, TestCall

SAID = {
    "apply_by": "Last day to apply for the test",
    "starts_on": "The test starts: give the places before",
    "midway_on": "Half of the test is over",
    "finish_by": "Results of the test are due",
}


def call_dates(today: dt.date) -> list[Due]:
    """The dates of calls that people see, from today on; the last one also later while somebody is making."""
    making = Placement.objects.filter(call=OuterRef("pk"), accepted_at__isnull=False, ended_at=None)
    making = making.exclude(result__done_at__isnull=False)
    shown = TestCall.objects.filter(state__in=("open", "closed")).annotate(is_made=Exists(making))
    calls = shown.filter(Q(finish_by__gte=today) | Q(is_made=True)).select_related("pattern")
    return [
        Due(
            day, what, call.pattern.title, reverse("call", args=[call.pattern.slug, call.pk]),
            (day - today).days, is_overdue=day < today,
        )
        for call in calls.order_by("finish_by")[:MOST]
        for name, what in SAID.items()
        if (day := getattr(call, name)) >= today or (name == "finish_by" and call.is_made)
        if name != "apply_by" or call.state == "open"
    ]  # fmt: skip
