"""What a tester saw of their own answers: one from another phone is never replaced unseen."""

from collections.abc import Iterable
from dataclasses import dataclass, field

from catalogue.versions.changes import EntryChange
from catalogue.versions.glances import Seen
from testing.access.selectors import result_of
from testing.asked.figures import Figures, placement_figures
from testing.models import Entry, Placement
from testing.results.sent_things import (
    SentThing,
    earlier_in_words,
    entry_in_words,
    labels_of,
    photos_in_words,
)


@dataclass
class Asked:
    """One question: which answers it replaces, and what came in since its page was opened."""

    part: str
    name: str | None = None
    moved: list[EntryChange] = field(default_factory=list)

    def holds(self, part: str, name: str) -> bool:
        """Whether an answer belongs to the question; without a name all of a part do."""
        return part == self.part and self.name in (None, name)


def entries_glance(entries: Iterable[Entry], figures: Figures) -> Seen:
    """What is stored of a question, as its page shows it."""
    labels = labels_of(figures)
    shown = [entry_in_words(entry, labels) for entry in entries]
    return {thing.title: thing.words for thing in shown}


def stored_glance(placement: Placement, asked: Asked) -> Seen:
    """What is stored now, asked of the database."""
    entries = Entry.objects.filter(result__placement=placement, part=asked.part)
    found = [entry for entry in entries if asked.holds(entry.part, entry.name)]
    return entries_glance(found, placement_figures(placement))


def sent_before(placement: Placement, asked: Asked) -> list[SentThing]:
    """What was sent to a question before, the oldest first."""
    result = result_of(placement)
    if result is None:
        return []
    if asked.part == "photo":
        return photos_in_words(result)
    labels = labels_of(placement_figures(placement))
    entries = [entry for entry in result.entries.all() if asked.holds(entry.part, entry.name)]
    earlier = [entry for entry in result.earlier_entries.all() if asked.holds(entry.part, entry.name)]
    things = [earlier_in_words(entry, labels) for entry in earlier]
    things += [entry_in_words(entry, labels) for entry in entries]
    return sorted(things, key=lambda thing: thing.at)
