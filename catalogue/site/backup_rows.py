"""The rows of a backup, one line of JSON each: written, and read back to the very same line."""

import json
from collections.abc import Callable, Collection, Iterable, Iterator
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
_UNFIT = (ArithmeticError, AttributeError, DeserializationError, LookupError, TypeError, ValueError)


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
        for row in rows.iterator(chunk_size=500):
            yield json.dumps(_written(row), ensure_ascii=False).encode() + b"\n"


def read_rows(lines: Iterable[bytes], wanted: Callable[[bytes], bool] = bool) -> Iterator[DeserializedObject]:
    """Read lines back, all or those that are wanted.

    Raises:
        RowRefused: A line is no row, or would not come out as it went in.
    """
    for number, line in enumerate(lines, 1):
        if wanted(line):
            try:
                yield _read(line)
            except RowRefused as problem:
                raise RowRefused(f"row {number} can't be used: {problem}") from None


def store_rows(rows: Iterable[DeserializedObject]) -> int:
    """Store rows as new ones and return how many; keys are compared by the database at the end."""
    count = 0
    for row in rows:
        row.save(using="default", force_insert=True)
        count += 1
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


class _RowSerializer(Serializer):
    """Names a row of another table by its key; only what every database makes anew, by its words."""

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
    (found,) = _RowSerializer().serialize([row], fields=fields)
    written: dict[str, Any] = json.loads(json.dumps(found, default=_as_text))
    return written


def _as_text(value: Any) -> str:
    """Dates, times, decimals and identifiers as their fields read them."""
    return value.isoformat() if hasattr(value, "isoformat") else str(value)


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
        raise RowRefused("it is no row of a table")
    model = next((one for one in kept_models() if one._meta.label_lower == row["model"]), None)  # noqa: SLF001
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
        if json.dumps(given) != json.dumps(found) and not _is_named(row, name, given):
            raise RowRefused(f"“{name}” of “{row['model']}” has a value of another kind")


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
        row = json.loads(line, parse_constant=_refuse_constant)
        texts = json.dumps(row, ensure_ascii=False)
        texts.encode()
    except (ValueError, RecursionError):
        raise RowRefused("it can't be read") from None
    if "\\u0000" in texts and _has_nul(row):
        raise RowRefused("a text holds a character that can't be stored")
    return row


def _refuse_constant(word: str) -> NoReturn:
    """Refuse what JSON does not have."""
    raise ValueError(word)


def _has_nul(part: Any) -> bool:
    """Whether a text anywhere in it holds a NUL, which PostgreSQL does not keep."""
    if isinstance(part, dict):
        return any(_has_nul(key) or _has_nul(inner) for key, inner in part.items())
    if isinstance(part, list):
        return any(map(_has_nul, part))
    return isinstance(part, str) and "\x00" in part
