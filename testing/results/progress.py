"""How far a tester is: what was sent, what comes next, what is late."""

import datetime as dt
from dataclasses import dataclass

from django.urls import reverse

from testing.access.selectors import result_of
from testing.asked.figures import Figures
from testing.asked.questions import questions_of
from testing.calls.schedule import finish_day
from testing.models import Entry, Placement


@dataclass(frozen=True)
class Thing:
    """One thing to send in: its name, its page, whether it has come, and what to look at again in it."""

    label: str
    url: str
    is_sent: bool
    mark: str = ""
    mark_asks: bool = True  # whether there is still something to be done about it


@dataclass(frozen=True)
class Progress:
    """All things of one tester, in the order in which they are asked."""

    things: list[Thing]

    @property
    def sent(self) -> int:
        """How many have come."""
        return sum(thing.is_sent for thing in self.things)

    @property
    def words(self) -> str:
        """As it is told: "4 of 7 answers sent"."""
        return f"{self.sent} of {len(self.things)} answers sent"

    @property
    def closing_words(self) -> str:
        """As it is told to somebody who is done: what has come, and what would still be welcome."""
        if not self.missing:
            return "Everything has arrived."
        return f"{self.words}. Still welcome: {self.missing_words}."

    @property
    def missing_words(self) -> str:
        """What has not come, by name."""
        return ", ".join(thing.label for thing in self.missing)

    @property
    def missing(self) -> list[Thing]:
        """What has not come."""
        return [thing for thing in self.things if not thing.is_sent]

    @property
    def next(self) -> Thing | None:
        """The first thing that is missing."""
        return next(iter(self.missing), None)


def tester_progress(placement: Placement, figures: Figures) -> Progress:
    """List what one tester has sent and has still to send."""
    sent = {(entry.part, entry.name) for entry in entries_sent(placement)}
    parts = {part for part, _ in sent}
    things = []
    for one in questions_of(figures):
        url = reverse(f"making_{one.part}", args=[placement.pk, *([one.name] if one.name else [])])
        if one.part == "photo":
            is_sent = _has_photo(placement)
        else:
            is_sent = (one.part, one.name) in sent if one.name else one.part in parts
        things.append(Thing(one.label, url, is_sent))
    return Progress(things)


def next_after(progress: Progress, url: str) -> str | None:
    """The page of the next missing thing behind a given one, or the first that is missing."""
    places = [thing.url for thing in progress.things]
    start = places.index(url) + 1 if url in places else 0
    ordered = progress.things[start:] + progress.things[:start]
    return next((thing.url for thing in ordered if not thing.is_sent and thing.url != url), None)


def entries_sent(placement: Placement) -> list[Entry]:
    """The entries of a place, none before the first."""
    result = result_of(placement)
    return list(result.entries.all()) if result else []


def lateness(placement: Placement, progress: Progress, today: dt.date) -> str:
    """Say in words what is late; empty when nothing is, as when everything was sent."""
    result = result_of(placement)
    call = placement.call
    if (result and result.done_at) or not progress.missing:
        return ""
    last = finish_day(placement)
    if today > last + dt.timedelta(days=call.grace_days):
        return f"Late: everything was due on {last.day} {last:%B}."
    if today > last:
        return f"Due on {last.day} {last:%B}; within the {call.grace_days} days of grace."
    if today > call.midway_on and not entries_sent(placement):
        return "Nothing sent yet, and the midway date is over."
    return ""


def _has_photo(placement: Placement) -> bool:
    """Whether a picture has come."""
    result = result_of(placement)
    return bool(result and result.photos.all())
