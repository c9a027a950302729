"""What was deleted leaves the file of a SQLite database too, not only its tables.

Freed pages are overwritten (`secure_delete` in the settings), but the write-ahead log keeps what was written
before until it is emptied. PostgreSQL does both by itself when it vacuums and recycles its log.
"""

from django.db import connection

PATIENCE_MS = 500


def empty_write_ahead_log() -> bool:
    """Bring the log into the database and empty it; False where it can't be or a reader is in the way."""
    if connection.vendor != "sqlite" or connection.in_atomic_block:
        return False
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
