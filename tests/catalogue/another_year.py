"""Makes an edition in a process whose clock stands in another year, and prints that year and the hash.

Run as a program: `another_year.py RECORD CHOICES`. The clock is changed before anything else is loaded.
"""

import datetime as dt
import sys
import time

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


time.time = lambda: _time() + LATER
time.time_ns = lambda: int(time.time() * 1e9)
time.localtime = lambda seconds=None: _localtime(time.time() if seconds is None else seconds)
time.gmtime = lambda seconds=None: _gmtime(time.time() if seconds is None else seconds)
dt.datetime, dt.date = Later, LaterDate

import json  # noqa: E402
from pathlib import Path  # noqa: E402

import django  # noqa: E402

django.setup()

from catalogue.editions import render_pdf  # noqa: E402
from catalogue.records import read_record  # noqa: E402

record = read_record(Path(sys.argv[1]).read_text())
made = render_pdf(record=record, choices=json.loads(sys.argv[2]))
print(dt.datetime.now(dt.UTC).year, made.sha256)  # noqa: T201 read by the test
