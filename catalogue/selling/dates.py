"""What to do by when in all patterns: dates, errata, signatures, promises, rights that return, calls."""

import datetime as dt
from dataclasses import dataclass

from django.conf import settings
from django.db.models import Value
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils import timezone
from django.utils.module_loading import import_string
from django.utils.safestring import SafeString

from catalogue.models import Erratum, RightsNote, SignatureRequest, SupportPromise, TargetDate
from catalogue.versions.standings import found_places

ON_THE_DESK, MOST = 4, 300
# How long rights that came back stay among the dates.
BACK_SHOWN = dt.timedelta(days=30)


@dataclass(frozen=True)
class Due:
    """Something to be done by a day: what, for which pattern ("" for none), and where it is changed."""

    on: dt.date
    what: str
    title: str
    address: str
    days: int
    is_overdue: bool

    @property
    def when(self) -> str:
        """How far away the day is."""
        if self.days == 0:
            return "today"
        count = abs(self.days)
        days = f"{count} day{'' if count == 1 else 's'}"
        if self.days > 0:
            return f"in {days}"
        return f"overdue by {days}" if self.is_overdue else f"{days} ago"


def due_dates(*, today: dt.date, with_support: bool) -> list[Due]:
    """What is open, the earliest first; promises for yarn only for those who may see who gave it."""
    found = [*_noted(today), *_errata(today), *_signatures(today)]
    found += _promises(today) if with_support else []
    found += import_string(settings.CALL_DATES)(today)
    return sorted(found, key=lambda one: (one.on, one.title.casefold(), one.what))[:MOST]


def dates_on_desk(is_designer: bool) -> SafeString:
    """The next dates, as the first page of the studio shows them; nothing where there is none."""
    found = due_dates(today=timezone.localdate(), with_support=is_designer)
    if not found:
        return SafeString()
    page = {"dates": found[:ON_THE_DESK], "more": max(0, len(found) - ON_THE_DESK)}
    return render_to_string("catalogue/selling/_desk_dates.html", page)


def _noted(today: dt.date) -> list[Due]:
    """Target dates that are not done, and rights that come back or came back a short time ago, in one query.

    Nothing of rights is overdue.
    """
    named = ("pattern__title", "pattern__slug")
    targets = TargetDate.objects.filter(done_on=None).order_by()
    rights = RightsNote.objects.filter(back_on__gte=today - BACK_SHOWN).order_by()
    rows = targets.values_list("due_on", "what", *named, Value(value=False)).union(
        rights.values_list("back_on", "whose", *named, Value(value=True)), all=True
    )
    return [
        Due(
            on, f"Rights back from {what}" if is_right else what, title,
            reverse("selling", args=[slug]), (on - today).days, is_overdue=on < today and not is_right,
        )
        for on, what, title, slug, is_right in rows.order_by("due_on")[:MOST]
    ]  # fmt: skip


def _errata(today: dt.date) -> list[Due]:
    """Errata that are to be settled by a day and are not."""
    rows = Erratum.objects.filter(state__in=("reported", "confirmed"), due_on__isnull=False)
    rows = rows.select_related("pattern", "found_in").defer("found_in__record")
    found = list(rows.order_by("due_on")[:MOST])
    return [
        _due(
            one.due_on, f"Settle the erratum at {place}", one.pattern.title,
            reverse("erratum", args=[one.pattern.slug, one.pk]), today,
        )
        for one, place in zip(found, found_places(found), strict=True)
        if one.due_on
    ]  # fmt: skip


def _signatures(today: dt.date) -> list[Due]:
    """Signatures that are asked for by a day."""
    rows = SignatureRequest.objects.filter(due_on__isnull=False).select_related("pattern", "editor")
    return [
        _due(
            one.due_on, f"Signature of {one.editor}", one.pattern.title,
            reverse("technical_edit", args=[one.pattern.slug]), today,
        )
        for one in rows.order_by("due_on")[:MOST]
        if one.due_on
    ]  # fmt: skip


def _promises(today: dt.date) -> list[Due]:
    """What was promised for yarn by a day and is not done."""
    rows = SupportPromise.objects.filter(done_on=None, due_on__isnull=False)
    found = rows.select_related("support__pattern").order_by("due_on")[:MOST]
    return [
        _due(
            one.due_on, f"Promised for yarn: {one.says}",
            one.support.pattern.title if one.support.pattern else "",
            reverse("yarn_support", args=[one.support.pk]), today,
        )
        for one in found
        if one.due_on
    ]  # fmt: skip


def _due(on: dt.date, what: str, title: str, address: str, today: dt.date) -> Due:
    """Something that is overdue once its day is past."""
    return Due(on, what, title, address, (on - today).days, is_overdue=on < today)
