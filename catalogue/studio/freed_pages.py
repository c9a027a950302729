"""What was deleted leaves the files of the database too, not only its tables.

SQLite overwrites freed pages (`secure_delete` in the settings), but its write-ahead log keeps what was
written before until it is emptied. PostgreSQL leaves it in the tables until they are written anew, and in the
statistics of its columns; its own log, copies of that and other servers are the operator's to clear.
"""

import time
from datetime import datetime

from django.apps import apps
from django.db import OperationalError, connection, transaction
from django.db.backends.utils import CursorWrapper

from catalogue.models import UnsweptErasure
from catalogue.studio.chores import ChoreWaits

PATIENCE_MS = 500
# Where something about a person may stand: whole apps, and single tables of the rest.
PERSONAL_APPS = ("testing", "account", "mfa", "sessions", "django_tasks_database")
PERSONAL_TABLES = (
    "catalogue.Person",
    "catalogue.Person_groups",
    "catalogue.Holder",
    "catalogue.Invitation",
    "catalogue.Letter",
    "catalogue.Notice",
    "catalogue.NoticeMail",
    "catalogue.Erratum",
    "catalogue.ErratumSighting",
    "catalogue.ErratumEvent",
    "catalogue.Tally",
    "catalogue.YarnSupport",
    "catalogue.MakerQuestion",
)
_OTHERS_READ = """
    SELECT EXISTS (
        SELECT 1 FROM pg_stat_activity
        WHERE datname = current_database() AND pid <> pg_backend_pid()
        AND backend_type IN ('client backend', 'autovacuum worker') AND xact_start < %s
    )
"""


def sweep_after_edit() -> None:
    """Have the files of the database swept once the edit around this is kept; a kill only puts it off."""
    if connection.vendor == "postgresql":
        UnsweptErasure.objects.create()
    transaction.on_commit(sweep_pages, robust=True)  # what was erased is, whatever happens here


def sweep_pages() -> bool:
    """Take what was deleted out of the files of the database; False where somebody is in the way."""
    if connection.in_atomic_block:
        return False
    return _empty_write_ahead_log() if connection.vendor == "sqlite" else _write_tables_anew()


def sweep_unswept() -> None:
    """Take out what could not be taken out when it was deleted; nothing within an edit, whose end does it.

    Raises:
        ChoreWaits: Somebody still reads what was there before.
    """
    if connection.in_atomic_block:
        return
    if not sweep_pages() and UnsweptErasure.objects.exists():
        raise ChoreWaits(
            "its tables can't be written again while somebody reads them; end what has been reading for long"
        )


def _empty_write_ahead_log() -> bool:
    """Bring the log into the database and empty it."""
    with connection.cursor() as cursor:
        cursor.execute("PRAGMA busy_timeout")
        (usual_ms,) = cursor.fetchone()
        cursor.execute(f"PRAGMA busy_timeout = {PATIENCE_MS}")
        try:
            cursor.execute("PRAGMA wal_checkpoint(TRUNCATE)")
            (is_busy, *_) = cursor.fetchone()
        finally:
            cursor.execute(f"PRAGMA busy_timeout = {usual_ms}")
    return not is_busy


def _write_tables_anew() -> bool:
    """Have PostgreSQL write the tables with personal data anew, where something was erased from them."""
    unswept = list(UnsweptErasure.objects.values_list("pk", flat=True))
    if not unswept:
        return True
    with connection.cursor() as cursor:
        if not _await_others(cursor):
            return False
        cursor.execute("SHOW lock_timeout")
        (usual,) = cursor.fetchone()
        cursor.execute("SELECT set_config('lock_timeout', %s, false)", [f"{PATIENCE_MS}ms"])
        try:
            # Writing anew keeps a row that a long transaction in another database of the server might see;
            # the plain cleaning before it knows that it can't, and lets the row go.
            for table in map(connection.ops.quote_name, _personal_tables()):
                cursor.execute(f"VACUUM {table}")
                cursor.execute(f"VACUUM (FULL, ANALYZE) {table}")
            cursor.execute("VACUUM pg_catalog.pg_statistic")  # it holds frequent values word for word
            cursor.execute("VACUUM (FULL) pg_catalog.pg_statistic")
        except OperationalError:  # a lock that somebody holds
            return False
        finally:
            cursor.execute("SELECT set_config('lock_timeout', %s, false)", [usual])
    UnsweptErasure.objects.filter(pk__in=unswept).delete()
    return True


def _await_others(cursor: CursorWrapper) -> bool:
    """Wait until nobody sees the tables as they were before; what they see would be written anew too."""
    cursor.execute("SELECT clock_timestamp()")
    (now,) = cursor.fetchone()
    until = time.monotonic() + PATIENCE_MS / 1000
    while not (is_free := _is_free(cursor, now)) and time.monotonic() < until:
        time.sleep(0.05)
    return is_free


def _is_free(cursor: CursorWrapper, moment: datetime) -> bool:
    """Whether every transaction from before a moment has ended."""
    cursor.execute(_OTHERS_READ, [moment])
    (others_read,) = cursor.fetchone()
    return not others_read


def _personal_tables() -> list[str]:
    """The tables in which something about a person may stand."""
    return [
        model._meta.db_table  # noqa: SLF001  the way to the names of tables
        for model in apps.get_models(include_auto_created=True)
        if model._meta.app_label in PERSONAL_APPS or model._meta.label in PERSONAL_TABLES  # noqa: SLF001
    ]
