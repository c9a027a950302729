"""Tables of holders: address, pattern, version, date; read, looked at, then stored."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date

from django.core.exceptions import ValidationError

from catalogue.holders.holders import NewHolder
from catalogue.models import Pattern, Version
from catalogue.studio.mail_addresses import validate_mail_address
from grading.tables.files import BroughtRow, RawTable
from grading.tables.limits import TableRefused
from grading.tables.quoting import unquoted

COLUMNS = {
    "address": ("address", "e-mail", "email", "e-mail address"),
    "pattern": ("pattern", "title"),
    "version": ("version",),
    "date": ("date", "since"),
}
SHOWN = 10
LONGEST_ADDRESS = 254  # RFC 5321: a path has 256 characters with its angle brackets


@dataclass(frozen=True)
class ReadHolders:
    """The rows that can be stored, and a sentence for each that can't; other columns are never stored."""

    holders: tuple[NewHolder, ...]
    problems: tuple[str, ...]
    ignored: tuple[str, ...]

    @property
    def expected(self) -> str:
        """The names of columns that are read, where the table has others."""
        return ", ".join(name for names in COLUMNS.values() for name in names)

    @property
    def first(self) -> tuple[NewHolder, ...]:
        """The first few, to look at."""
        return self.holders[:SHOWN]


@dataclass(frozen=True)
class _Known:
    """Patterns by slug and title, and their published releases by number."""

    patterns: dict[str, Pattern]
    versions: dict[tuple[int, str], Version]


def read_holders(raw: RawTable) -> ReadHolders:
    """Make holders of the rows of a table."""
    head = [name.strip().casefold() for name in raw.head.cells]
    places = {
        column: next((at for at, name in enumerate(head) if name in names), None)
        for column, names in COLUMNS.items()
    }
    for needed in ("address", "pattern"):
        if places[needed] is None:
            raise TableRefused(
                f"There is no column “{needed}”: the first line says {_quoted(raw.head.cells)}. Write "
                f"{_quoted(COLUMNS[needed], last=' or ')} over it; also read are {_quoted(_others(needed))}."
            )
    known = _read_known()
    holders: list[NewHolder] = []
    problems: list[str] = []
    for row in raw.rows:
        one = _read_row(row, places, known)
        if isinstance(one, str):
            problems.append(f"Line {row.line}: {one}")
        else:
            holders.append(one)
    ignored = [name for at, name in enumerate(raw.head.cells) if at not in places.values() and name.strip()]
    return ReadHolders(tuple(holders), tuple(problems), tuple(ignored))


def _others(column: str) -> list[str]:
    """The other columns that are read, by the first of their names."""
    return [names[0] for one, names in COLUMNS.items() if one != column]


def _quoted(names: Iterable[str], last: str = ", ") -> str:
    """Names of columns in quotes, cut where they are long."""
    *before, end = [f"“{name[:40]}”" for name in names]
    return f"{', '.join(before)}{last}{end}" if before else end


def known_columns(raw: RawTable) -> RawTable:
    """The table without the columns that are never stored."""
    names = [name for known in COLUMNS.values() for name in known]
    kept = [at for at, name in enumerate(raw.head.cells) if name.strip().casefold() in names]

    def narrowed(row: BroughtRow) -> BroughtRow:
        return replace(row, cells=type(row.cells)(row.cells[at] for at in kept))

    return replace(raw, head=narrowed(raw.head), rows=type(raw.rows)(narrowed(row) for row in raw.rows))


def _read_known() -> _Known:
    """What rows are matched with, read once."""
    patterns = list(Pattern.objects.all())
    released = Version.objects.filter(kind="release", state="published").defer("record")
    names = {name.casefold(): one for one in patterns for name in (one.title, one.slug)}
    return _Known(names, {(one.pattern_id, one.number): one for one in released})


def _read_row(row: BroughtRow, places: dict[str, int | None], known: _Known) -> NewHolder | str:
    """One holder, or why the row can't be read."""
    cells = {name: unquoted(row.cells[at]).strip() if at is not None else "" for name, at in places.items()}
    try:
        validate_mail_address(cells["address"])
    except ValidationError as refused:
        return f"“{cells['address'][:60]}”: {refused.message}"
    if len(cells["address"]) > LONGEST_ADDRESS:
        return f"“{cells['address'][:60]}…” is longer than {LONGEST_ADDRESS} characters: check the address."
    pattern = known.patterns.get(cells["pattern"].casefold())
    if pattern is None:
        return (
            f"there is no pattern “{cells['pattern'][:60]}”: write its title, or the last part of its link."
        )
    version = known.versions.get((pattern.pk, cells["version"]))
    if cells["version"] and version is None:
        return f"{pattern.title} has no release “{cells['version'][:20]}”."
    since = _date(cells["date"])
    if cells["date"] and since is None:
        return f"“{cells['date'][:20]}” is not a date: write it like 2026-05-03."
    return NewHolder(cells["address"], pattern, version, since)


def _date(text: str) -> date | None:
    """A date as written in ISO 8601."""
    try:
        return date.fromisoformat(text)
    except ValueError:
        return None


def table_lines(problems: tuple[str, ...], most: int) -> Iterator[str]:
    """The first few problems, and how many more there are."""
    yield from problems[:most]
    if len(problems) > most:
        yield f"… and {len(problems) - most} more lines that can't be read."
