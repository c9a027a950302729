"""The rows of a backup, one line of JSON each: written, and read back to the very same line."""

import json
from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any, NoReturn

from django.apps import apps
from django.core.management.color import no_style
from django.core.serializers.base import DeserializationError, DeserializedObject
from django.core.serializers.python import Deserializer, Serializer
from django.db import connection, models

# What every database makes anew, and what belongs to a moment or a machine: sign-ins under way, tries, the
# queue of tasks, its clock and files; and what is worked out anew from what is kept.
LEFT_OUT = {
    "contenttypes.ContentType",
    "auth.Permission",
    "sessions.Session",
    "account.EmailConfirmation",
    "django_tasks_database.DBTaskResult",
    "catalogue.Tally",
    "catalogue.UnsweptErasure",
    "catalogue.SeenClock",
    "catalogue.FrozenWork",
}
MOST_BYTES_A_ROW = 64 * 1024 * 1024
# Backups of older programs name people by their address: they are put in first, so that they are found.
NAMED_BY_OTHERS = ("catalogue.person", "auth.group")
AT_ONCE = 500
MOST_BYTES_AT_ONCE = 4 * 1024 * 1024
_OF_JSON = (str, int, bool, float)
_EQUAL_IF_SAME = (str, int, bool, type(None))
_UNFIT = (ArithmeticError, AttributeError, DeserializationError, LookupError, TypeError, ValueError)


@dataclass(frozen=True)
class ReadRow:
    """A row that was read, and how long its line was."""

    read: DeserializedObject
    size_bytes: int


class RowRefused(ValueError):
    """A line that is no row of this program; its text says why."""


def kept_models() -> list[type[models.Model]]:
    """Every table of a backup; those between two tables belong to one of them."""
    return [model for model in apps.get_models() if model._meta.label not in LEFT_OUT]  # noqa: SLF001


def delete_rows() -> None:
    """Empty every table of a backup and those between two of them; keys are compared when others are in."""
    for model in apps.get_models(include_auto_created=True):
        owner: Any = model._meta.auto_created or model  # noqa: SLF001
        if owner._meta.label not in LEFT_OUT:  # noqa: SLF001
            model._base_manager.all()._raw_delete(using="default")  # noqa: SLF001


def row_lines() -> Iterator[bytes]:
    """Every row as one line of JSON, times to the microsecond."""
    for model in kept_models():
        rows = model._base_manager.order_by("pk")  # noqa: SLF001 every row, whatever a manager hides
        for row in rows.prefetch_related(*_links(model)).iterator(chunk_size=500):
            yield json.dumps(_written(row), ensure_ascii=False).encode() + b"\n"


def read_rows(lines: Iterable[bytes], wanted: Callable[[bytes], bool] = bool) -> Iterator[ReadRow]:
    """Read lines back, all or those that are wanted.

    Raises:
        RowRefused: A line is no row, or would not come out as it went in.
    """
    for number, line in enumerate(lines, 1):
        if wanted(line):
            try:
                yield ReadRow(_read(line), len(line))
            except RowRefused as problem:
                raise RowRefused(f"row {number} can't be used: {problem}") from None


def store_rows(rows: Iterable[ReadRow], at_once: int = AT_ONCE) -> int:
    """Store rows as new ones and return how many; keys are compared by the database at the end.

    Args:
        rows: The rows; those of one table that follow each other are stored together.
        at_once: How many together at most: 1 where a row may name one that stands before it by its words.
    """
    count, size_bytes = 0, 0
    waiting: list[DeserializedObject] = []
    for row in rows:
        if waiting and type(waiting[0].object) is not type(row.read.object):
            _store(waiting)
            waiting, size_bytes = [], 0
        waiting.append(row.read)
        count, size_bytes = count + 1, size_bytes + row.size_bytes
        if len(waiting) >= at_once or size_bytes > MOST_BYTES_AT_ONCE:
            _store(waiting)
            waiting, size_bytes = [], 0
    if waiting:
        _store(waiting)
    return count


def is_named_by_others(line: bytes) -> bool:
    """Whether other rows may name this one by something else than its key."""
    return any(f'"model": "{name}"'.encode() in line[:80] for name in NAMED_BY_OTHERS)


def compare_keys() -> None:
    """Have the database compare all keys, and let new ones go on after the last."""
    connection.check_constraints()
    with connection.cursor() as cursor:
        for statement in connection.ops.sequence_reset_sql(no_style(), kept_models()):
            cursor.execute(statement)


def files_of(row: models.Model) -> Iterator[str]:
    """The names of the stored files that a row tells of."""
    for field in row._meta.concrete_fields:  # noqa: SLF001
        value = getattr(row, field.attname)
        if isinstance(field, models.FileField) and value:
            yield str(value.name)
        elif field.name == "files" and isinstance(field, models.JSONField):
            yield from (str(one["name"]) for one in value)


def _store(rows: Sequence[DeserializedObject]) -> None:
    """Store rows of one table just as they are, then what they are linked to."""
    objects = [row.object for row in rows]
    model = type(objects[0])
    fields = model._meta.local_concrete_fields  # noqa: SLF001
    most = connection.ops.bulk_batch_size(fields, objects)
    for start in range(0, len(objects), most):
        some = objects[start : start + most]
        model._base_manager._insert(some, fields=fields, using="default", raw=True)  # type: ignore[attr-defined]  # noqa: SLF001
    for row in rows:
        for name, others in (row.m2m_data or {}).items():
            if others:
                getattr(row.object, name).set(others)


def _links(model: type[models.Model]) -> Iterator[models.Prefetch[Any, Any, Any]]:
    """What the rows of a table are linked to, asked for many rows at once."""
    for field in model._meta.local_many_to_many:  # noqa: SLF001
        linked = field.related_model
        others = linked._default_manager.all()  # noqa: SLF001
        yield models.Prefetch(field.name, others if _is_made_anew(linked) else others.only("pk"))


class _RowSerializer(Serializer):
    """Names a row of another table by its key; only what every database makes anew, by its words."""

    def _value_from_field(self, obj: models.Model, field: Any) -> Any:
        """A value as JSON holds it."""
        value = super()._value_from_field(obj, field)  # type: ignore[misc]  # the stubs leave it out
        if value is None or type(value) in _OF_JSON:
            return value
        return json.loads(json.dumps(value)) if isinstance(value, dict | list) else _as_text(value)

    def handle_fk_field(self, obj: models.Model, field: Any) -> None:
        """A row of another table."""
        self.use_natural_foreign_keys = _is_made_anew(field.remote_field.model)
        super().handle_fk_field(obj, field)

    def handle_m2m_field(self, obj: models.Model, field: Any) -> None:
        """Several rows of another table; a row that was just read has them elsewhere."""
        self.use_natural_foreign_keys = _is_made_anew(field.remote_field.model)
        super().handle_m2m_field(obj, field)


def _is_made_anew(model: type[models.Model]) -> bool:
    """Whether every database makes the rows of a table itself, with other keys."""
    return model._meta.label in LEFT_OUT  # noqa: SLF001


def _written(row: models.Model, fields: Collection[str] | None = None) -> dict[str, Any]:
    """A row as JSON holds it."""
    (written,) = _RowSerializer().serialize([row], fields=fields)
    return dict(written)


def _as_text(value: Any) -> str:
    """Dates, times, decimals and identifiers as their fields read them."""
    return value.isoformat() if hasattr(value, "isoformat") else str(value)


@cache
def _kept() -> dict[str, type[models.Model]]:
    """The tables of a backup by the names that lines give them."""
    return {model._meta.label_lower: model for model in kept_models()}  # noqa: SLF001


@cache
def _fields(model: type[models.Model]) -> tuple[frozenset[str], frozenset[str]]:
    """The names of the fields of a table that a row has, and of those that hold many rows."""
    about = model._meta  # noqa: SLF001
    single, many = (
        frozenset(field.name for field in fields if getattr(field, "serialize", True))
        for fields in (about.local_fields, about.local_many_to_many)
    )
    return single, many


def _read(line: bytes) -> DeserializedObject:
    """Read one row and make sure that it would be written just so."""
    row = _parsed(line)
    if not isinstance(row, dict) or row.keys() != {"model", "pk", "fields"}:
        raise RowRefused("it is not a row of a table")
    model = _kept().get(row["model"]) if isinstance(row["model"], str) else None
    if model is None:
        raise RowRefused(f"there is no table “{str(row['model'])[:80]}”")
    single, many = _fields(model)
    if not isinstance(row["fields"], dict) or row["fields"].keys() != single | many:
        raise RowRefused(f"it has other fields than the table “{row['model']}”")
    if row["pk"] is None or not all(isinstance(row["fields"][name], list) for name in many):
        raise RowRefused("its key or its links to other rows are missing")
    try:
        read: DeserializedObject = next(iter(Deserializer([row])))
        written = _written(read.object, fields=single)
    except _UNFIT:
        raise RowRefused(f"a value does not fit its field in “{row['model']}”") from None
    _compare(row, written, single)
    return read


def _compare(row: dict[str, Any], written: dict[str, Any], single: frozenset[str]) -> None:
    """Refuse a row that would come out with other values than it has; a list names a row by its words."""
    for name, given, found in (
        ("pk", row["pk"], written["pk"]),
        *((name, row["fields"][name], written["fields"][name]) for name in single),
    ):
        if not _is_same(given, found) and not _is_named(row, name, given):
            raise RowRefused(f"“{name}” of “{row['model']}” has a value of another kind")


def _is_same(given: Any, found: Any) -> bool:
    """Whether two values are written the same: 1, 1.0 and true are not."""
    if type(given) is type(found) and type(given) in _EQUAL_IF_SAME:
        return bool(given == found)
    return json.dumps(given) == json.dumps(found)


def _is_named(row: dict[str, Any], name: str, given: Any) -> bool:
    """Whether a field names a row of another table by its words, as backups of older programs do."""
    if not isinstance(given, list) or name == "pk":
        return False
    return isinstance(apps.get_model(row["model"])._meta.get_field(name), models.ForeignKey)  # noqa: SLF001


def _parsed(line: bytes) -> Any:
    """What a line of JSON holds, in characters that every database keeps."""
    if len(line) > MOST_BYTES_A_ROW:
        raise RowRefused("it is longer than any row")
    try:
        row = _READER.decode(line.decode())
        if b"\\u" in line:  # only so can half a character or a NUL come in
            json.dumps(row, ensure_ascii=False).encode()
    except (ValueError, RecursionError):
        raise RowRefused("it can't be read") from None
    if b"\\u0000" in line and _has_nul(row):
        raise RowRefused("a text has a character that can't be stored")
    return row


def _refuse_constant(word: str) -> NoReturn:
    """Refuse what JSON does not have."""
    raise ValueError(word)


_READER = json.JSONDecoder(parse_constant=_refuse_constant)


def _has_nul(part: Any) -> bool:
    """Whether a text anywhere in it holds a NUL, which PostgreSQL does not keep."""
    if isinstance(part, dict):
        return any(_has_nul(key) or _has_nul(inner) for key, inner in part.items())
    if isinstance(part, list):
        return any(map(_has_nul, part))
    return isinstance(part, str) and "\x00" in part
