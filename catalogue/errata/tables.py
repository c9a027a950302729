"""The studio's table of errata by version: filtered, overdue ones first, and as a file."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from django.db.models import Q, QuerySet
from django.utils import timezone

from catalogue.errata.errata import OPEN_STATES, erratum_glance, without_records
from catalogue.holders.notice_names import listed_before
from catalogue.models import Erratum, Holder, NoticeMail, Pattern, Version
from catalogue.versions.glances import written_glance
from catalogue.versions.spots import OTHER_SPOTS, Presence
from catalogue.versions.standings import standings_and_places
from grading.tables.quoting import csv_text

GRAVITY_ORDER = {"blocking": 0, "wrong": 1, "misleading": 2, "cosmetic": 3}
STATES = (("open", "open"), ("overdue", "overdue"), *Erratum.STATES)
WHERE = (("step", "steps"), ("value", "values"), *((place, place) for place in OTHER_SPOTS))


@dataclass(frozen=True)
class ErratumRow:
    """One erratum: its place in words, whether each version holds it, whether it is overdue."""

    erratum: Erratum
    place: str
    standings: tuple[Presence, ...]
    is_overdue: bool
    guard_count: int
    duplicate_of: str = ""
    told: str = ""
    numbers: tuple[str, ...] = ()

    @property
    def in_versions(self) -> Iterator[tuple[str, Presence]]:
        """The number of each version, and whether that holds it."""
        return zip(self.numbers, self.standings, strict=True)

    @property
    def seen(self) -> str:
        """What the forms in its row carry."""
        return written_glance(erratum_glance(self.erratum))

    @property
    def is_open(self) -> bool:
        """Whether it is still to be settled."""
        return self.erratum.state in OPEN_STATES


def errata_rows(
    pattern: Pattern, versions: Sequence[Version], asked: dict[str, str] | None = None
) -> list[ErratumRow]:
    """The errata that fit the filters: overdue ones first, then open ones by gravity, then the rest."""
    asked = asked or {}
    today = timezone.localdate()
    known = without_records(pattern.errata.all()).select_related("found_in", "corrected_in", "merged_into")
    errata = list(known.prefetch_related("guards"))
    held, places = standings_and_places(errata, versions)
    known_places = dict(zip((one.pk for one in errata), places, strict=True))
    rows = [
        _row(erratum, known_places, standings, today) for erratum, standings in zip(errata, held, strict=True)
    ]
    numbers = tuple(one.number for one in versions)
    rows = [replace(row, numbers=numbers) for row in _with_told(pattern, versions, rows)]
    return sorted((row for row in rows if _fits(row, versions, asked)), key=_order)


def later_versions(erratum: Erratum) -> QuerySet[Version]:
    """The published versions that can be the one that corrects an erratum, the newest first."""
    published = erratum.pattern.versions.filter(state="published").order_by("-major", "-minor")
    found = erratum.found_in
    if found is None:
        return published
    return published.filter(Q(major__gt=found.major) | Q(major=found.major, minor__gt=found.minor))


def errata_file(pattern: Pattern, versions: Sequence[Version]) -> str:
    """The whole table as the text of a CSV file."""
    head = ["Number", "Where", "Sizes", "It says", "It should say", "Why", "Kind", "Severity", "State"]
    more = ["Found by", "Found in", "Corrected in", "Settle it by", *(one.number for one in versions)]
    return csv_text([[*head, *more], *([*_cells(row)] for row in errata_rows(pattern, versions))])


def _row(
    erratum: Erratum, known_places: dict[int, str], held: tuple[Presence, ...], today: date
) -> ErratumRow:
    """One erratum with what it says of every version."""
    late = erratum.state in OPEN_STATES and erratum.due_on is not None and erratum.due_on < today
    of = known_places.get(erratum.merged_into_id or 0, "")
    return ErratumRow(erratum, known_places[erratum.pk], held, late, len(erratum.guards.all()), of)


def _with_told(pattern: Pattern, versions: Sequence[Version], rows: list[ErratumRow]) -> list[ErratumRow]:
    """Rows of corrected errata with how many holders were told, and how many who may have it were not."""
    wants = Holder.objects.filter(pattern=pattern, state="wants")
    held: Counter[int | None] = Counter(wants.values_list("version", flat=True))
    handed = NoticeMail.objects.filter(notice__version__pattern=pattern, state="handed")
    columns = ("holder", "holder__version", "holder__state")
    known = {
        *handed.values_list("notice__errata", *columns),
        *(
            (erratum, one.holder, one.version, one.state)
            for one in listed_before(pattern.pk)
            for erratum in one.errata
        ),
    }
    told: Counter[int | None] = Counter(one[0] for one in known)
    still: Counter[tuple[int, int | None]] = Counter(
        (erratum, version) for erratum, _, version, state in known if erratum and state == "wants"
    )
    found = []
    for row in rows:
        key = row.erratum.pk
        places = [one.pk for one, holds in zip(versions, row.standings, strict=True) if holds != "not in it"]
        waiting = sum(held[place] - still[key, place] for place in (*places, None))
        is_corrected = row.erratum.state == "corrected"
        found.append(replace(row, told=_told_words(told[key], waiting)) if is_corrected else row)
    return found


def _told_words(told: int, waiting: int) -> str:
    """How many holders were told, and how many wait for it."""
    return f"{told} e-mailed, {waiting} still to e-mail" if waiting else f"{told} e-mailed"


def _fits(row: ErratumRow, versions: Sequence[Version], asked: dict[str, str]) -> bool:
    """Whether a row passes every filter that is set."""
    state, gravity, where = asked.get("state"), asked.get("gravity"), asked.get("where")
    held = {one.number: standing for one, standing in zip(versions, row.standings, strict=True)}
    return (
        (not state or _has_state(row, state))
        and (not gravity or row.erratum.gravity == gravity)
        and (not where or _kind_of_place(row.erratum.place) == where)
        and (not asked.get("version") or held.get(asked["version"]) == "in it")
    )


def _has_state(row: ErratumRow, state: str) -> bool:
    """Whether an erratum is in a state, or in a group of them."""
    if state == "open":
        return row.is_open
    return row.is_overdue if state == "overdue" else row.erratum.state == state


def _kind_of_place(place: str) -> str:
    """What kind of place it is: a step, a value, or one of the others."""
    if place.startswith("sections["):
        return "step"
    return "value" if place.startswith("values.") else place


def _order(row: ErratumRow) -> tuple[bool, bool, int, date, int]:
    """What rows are put in order by."""
    erratum = row.erratum
    due = erratum.due_on or date.max
    return not row.is_overdue, not row.is_open, GRAVITY_ORDER[erratum.gravity], due, erratum.pk


def _cells(row: ErratumRow) -> Iterator[str | float | None]:
    """One row of the file."""
    one = row.erratum
    yield from (one.pk, row.place, ", ".join(one.sizes), one.says, one.should_say, one.why)
    yield from (one.get_kind_display(), one.get_gravity_display(), one.get_state_display())
    yield from (one.found_by, one.found_in.number if one.found_in else "")
    yield one.corrected_in.number if one.corrected_in else ""
    yield one.due_on.isoformat() if one.due_on else ""
    yield from row.standings
