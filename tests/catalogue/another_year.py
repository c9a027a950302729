"""Makes an edition in a process whose clock stands in another year, and prints that year and the hash.

Run as a program: `another_year.py RECORD CHOICES`. The clock is changed before the renderer is loaded.
"""

import datetime as dt
import json
import sys
import time
from pathlib import Path

LATER = 9 * 365.25 * 86_400.0
_time, _localtime, _gmtime = time.time, time.localtime, time.gmtime


class Later(dt.datetime):
    """Moments of another year."""

    @classmethod
    def now(cls, tz=None):
        return cls.fromtimestamp(time.time(), tz)

    @classmethod
    def utcnow(cls):
        return cls.fromtimestamp(time.time(), dt.UTC).replace(tzinfo=None)

    @classmethod
    def today(cls):
        return cls.now()


class LaterDate(dt.date):
    """Days of another year."""

    @classmethod
    def today(cls):
        return cls.fromtimestamp(time.time())


def move_clock():
    """Put the clock of this process into another year."""
    time.time = lambda: _time() + LATER
    time.time_ns = lambda: int(time.time() * 1e9)
    time.localtime = lambda seconds=None: _localtime(time.time() if seconds is None else seconds)
    time.gmtime = lambda seconds=None: _gmtime(time.time() if seconds is None else seconds)
    vars(dt).update(datetime=Later, date=LaterDate)


def print_edition(record_file, choices):
    """Make the edition and print what the clock says and the hash."""
    import django

    django.setup()
    from catalogue.editions.editions import render_pdf
    from catalogue.versions.records import read_record

    record = read_record(Path(record_file).read_text())
    made = render_pdf(record=record, choices=json.loads(choices))
    print(dt.datetime.now(dt.UTC).year, made.sha256)  # noqa: T201 read by the test


if __name__ == "__main__":
    move_clock()
    print_edition(*sys.argv[1:])
