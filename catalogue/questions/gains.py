"""Which steps makers ask about, over all versions, and whether fewer ask since one is clearer."""

import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field

from django.utils import timezone

from catalogue.models import MakerQuestion, Pattern, Version
from catalogue.questions.questions import MOST_SHOWN
from catalogue.versions.followed_versions import Followed, followed_versions
from catalogue.versions.frozen_grades import frozen_graded, version_digest
from catalogue.versions.records import frozen_record
from catalogue.versions.spots import numbered_step
from catalogue.versions.standings import place_of_version
from catalogue.versions.step_changes import Place
from grading.core.pattern.pattern import PatternFile


@dataclass(frozen=True)
class Gain:
    """Questions about a place before the version whose words are clearer, and about that and later ones."""

    version: Version
    before: int
    since: int
    days: int

    @property
    def says(self) -> str:
        """The gain in a sentence."""
        days = f"in {self.days} day{'' if self.days == 1 else 's'}" if self.days else "so far"
        number = self.version.number
        return (
            f"Version {number} says this more clearly. Older versions: {_count(self.before)}. "
            f"{number} and later: {_count(self.since)} {days}."
        )


@dataclass
class AskedPlace:
    """A place that makers asked about: its words, its step in the newest version, and the questions."""

    where: str
    at: Place | None
    questions: list[MakerQuestion] = field(default_factory=list)
    gain: Gain | None = None
    led: Mapping[int, list[MakerQuestion]] = field(default_factory=dict)

    @property
    def firsts(self) -> list[tuple[MakerQuestion, list[MakerQuestion]]]:
        """Each question once that is shown, with those that ask the same, wherever they were asked."""
        return [(one, self.led.get(one.pk, [])) for one in self._once[:MOST_SHOWN]]

    @property
    def _once(self) -> list[MakerQuestion]:
        """Each question once."""
        return [one for one in self.questions if one.same_as_id is None]

    @property
    def unseen(self) -> int:
        """How many questions are counted and not shown."""
        return max(0, len(self._once) - MOST_SHOWN)

    @property
    def open(self) -> int:
        """How many wait for an answer."""
        return sum(not one.answer for one in self._once)

    @property
    def by_version(self) -> list[tuple[str, int]]:
        """How many there are about each version, the oldest first."""
        versions = {one.version for one in self.questions}
        return [
            (version.number, sum(one.version_id == version.pk for one in self.questions))
            for version in sorted(versions, key=lambda one: one.order)
        ]


def asked_places(pattern: Pattern) -> list[AskedPlace]:
    """The places that makers asked about, the most asked first; a step is followed as it moves."""
    questions = _questions(pattern)
    newest = _newest(pattern)
    if not questions or newest is None:
        return []
    followed = _followed({one.version for one in questions}, newest)
    words = place_of_version([(one.version, one.place) for one in questions if one.place])
    found: dict[tuple[str, str], AskedPlace] = {}
    led: dict[int, list[MakerQuestion]] = {}
    for one in questions:
        if one.same_as_id:
            led.setdefault(one.same_as_id, []).append(one)
        at = _at(one, followed)
        where = words.get((one.version_id, one.place), "The whole pattern")
        key = (
            ("step", str(at)) if at else (str(one.version_id) if numbered_step(one.place) else "", one.place)
        )
        found.setdefault(key, AskedPlace(where, at, led=led)).questions.append(one)
    for place in found.values():
        place.gain = _gain(place.questions)
    return sorted(found.values(), key=lambda one: (-len(one.questions), one.where))


def _questions(pattern: Pattern) -> list[MakerQuestion]:
    """All questions of a pattern, with what was done about them."""
    found = pattern.maker_questions.select_related("version", "erratum__corrected_in", "clearer_in")
    large = ("version__record", "erratum__corrected_in__record", "clearer_in__record")
    return list(found.defer(*large))


def _newest(pattern: Pattern) -> Version | None:
    """The newest published version, to which the steps of older ones are followed."""
    return pattern.versions.filter(state="published").defer("record").order_by("-major", "-minor").first()


def _at(question: MakerQuestion, followed: Followed) -> Place | None:
    """The step of the newest version that a question is about."""
    at = numbered_step(question.place)
    return followed[question.version_id].get(at) if at else None


def _followed(versions: Iterable[Version], newest: Version) -> Followed:
    """Where the steps of versions went in the newest one."""

    def pattern() -> PatternFile:
        return frozen_graded(frozen_record(newest.record)).pattern

    return followed_versions(versions, version_digest(newest), pattern)


def _gain(questions: Sequence[MakerQuestion]) -> Gain | None:
    """What the last clearer version of a place brought; None where none is told."""
    clearer = [version for one in questions if (version := clear_version(one)) is not None]
    version = max(clearer, key=lambda one: one.order, default=None)
    if version is None:
        return None
    since = sum(one.version.order >= version.order for one in questions)
    at = version.published_at or timezone.now()
    days = (timezone.now() - at) // dt.timedelta(days=1)
    return Gain(version, len(questions) - since, since, max(0, days))


def clear_version(question: MakerQuestion) -> Version | None:
    """The version that answers a question by its own words: as told, or that corrects its erratum."""
    if question.clearer_in:
        return question.clearer_in
    return question.erratum.corrected_in if question.erratum else None


def _count(number: int) -> str:
    """A number of questions in words."""
    return f"{number} question{'' if number == 1 else 's'}"
