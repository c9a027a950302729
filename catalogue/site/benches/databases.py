"""A database for one bench: its tables as they are now, without the way that led there, and gone again."""

from collections.abc import Iterator
from contextlib import contextmanager

from django.db import connection
from django.test.utils import setup_databases, teardown_databases


@contextmanager
def throw_away_database() -> Iterator[None]:
    """An empty database in place of the studio's own; migrations would take longer than what is measured."""
    own = connection.settings_dict["TEST"]
    before, own["MIGRATE"] = own["MIGRATE"], False
    try:
        databases = setup_databases(verbosity=0, interactive=False)
    finally:
        own["MIGRATE"] = before
    try:
        yield
    finally:
        teardown_databases(databases, verbosity=0)
