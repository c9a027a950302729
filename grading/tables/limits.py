"""Limits of tables that people bring, and the refusal that names them."""

MOST_BYTES = 5 * 1024 * 1024
MOST_ROWS = 5_000
MOST_COLUMNS = 250
LONGEST_CELL = 1_000


class TableRefused(Exception):
    """A table cannot be read; one sentence says why and what to do."""
