"""Numbers of frozen records: graded once, then read back, whoever asks."""

import hashlib
import json
from functools import lru_cache

from catalogue.models import Version
from catalogue.versions.freezing import record_pattern
from catalogue.versions.frozen_work import kept
from catalogue.versions.records import Record, digest_of
from grading.core.grade.grade import Graded, grade
from grading.core.grade.written import read_graded, write_graded

NUMBERS_FROM = ("pattern", "order", "wording")
# The records that are asked for most; each takes about as much room as its text.
MOST_IN_MEMORY = 16


def frozen_graded(record: Record) -> Graded:
    """The numbers of a frozen record; the same object for the same record while it is at hand."""
    return _graded(_numbers_from(record))


def numbers_digest(record: Record) -> str:
    """What the numbers of a record are known by."""
    return hashlib.sha256(_numbers_from(record).encode()).hexdigest()


def version_digest(version: Version) -> str:
    """What a version's record is known by, without reading it."""
    return version.sha256 or digest_of(version.record)


def _numbers_from(record: Record) -> str:
    """All that the numbers hang on; writing it takes a hundredth of the time of working them out."""
    return json.dumps({part: record[part] for part in NUMBERS_FROM if part in record})


@lru_cache(MOST_IN_MEMORY)
def _graded(frozen: str) -> Graded:
    """Read the numbers back, or work them out and keep them."""
    record: Record = json.loads(frozen)
    made: list[Graded] = []

    def work_out() -> str:
        made.append(grade(record_pattern(record)))
        return write_graded(made[0])

    text = kept("graded", (hashlib.sha256(frozen.encode()).hexdigest(),), work_out)
    # What was graded once has been checked once.
    return made[0] if made else read_graded(record_pattern(record, trusted=True), text)


def forget_graded() -> None:
    """Begin as a new process does."""
    _graded.cache_clear()
