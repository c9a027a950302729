"""Frozen records: all that a version was made from and all that came of it, as canonical JSON."""

import hashlib
import json
import math
import re
from collections.abc import Iterator
from datetime import UTC, date, datetime
from decimal import ROUND_HALF_UP, Decimal
from functools import lru_cache
from typing import Any

# The records that visitors look at most; each takes some ten times its text.
MOST_IN_MEMORY = 32
SIX_PLACES = Decimal("0.000001")
_FROZEN_DECIMAL = re.compile(r"-?\d+\.\d{6}")

Record = dict[str, Any]


def canonical(value: Any) -> str:
    """Canonical JSON: keys by code point, no spaces, decimals as strings of six places, half up."""
    return json.dumps(
        _frozen(value), sort_keys=True, ensure_ascii=False, separators=(",", ":"), allow_nan=False
    )


def digest_of(text: str) -> str:
    """SHA-256 of a record's text in UTF-8."""
    return hashlib.sha256(text.encode()).hexdigest()


def read_record(text: str) -> Record:
    """The record with its decimals as numbers again."""
    thawed: Record = _thawed(json.loads(text))
    return thawed


@lru_cache(MOST_IN_MEMORY)
def frozen_record(text: str) -> Record:
    """The same for those who look and change nothing: read once for all of them."""
    return read_record(text)


def written_time(moment: datetime) -> str:
    """A moment as the record has it: UTC, to the second."""
    return moment.astimezone(UTC).strftime("%Y-%m-%dT%H:%M:%SZ")


def read_time(written: str) -> datetime:
    """The moment of a record."""
    return datetime.strptime(written, "%Y-%m-%dT%H:%M:%SZ").replace(tzinfo=UTC)


def read_day(record: Record) -> date:
    """The day that a record is of: the studio's; in older records, which do not know it, that of UTC."""
    return date.fromisoformat(record["day"]) if "day" in record else read_time(record["frozen_on"]).date()


def texts_like_decimals(value: Any) -> Iterator[str]:
    """Texts of a document that would come back from a record as numbers; there should be none."""
    if isinstance(value, dict):
        for part in value.values():
            yield from texts_like_decimals(part)
    elif isinstance(value, list | tuple):
        for part in value:
            yield from texts_like_decimals(part)
    elif isinstance(value, str) and _FROZEN_DECIMAL.fullmatch(value):
        yield value


def _frozen(value: Any) -> Any:
    """Replace each decimal by its text; the same on every machine."""
    if isinstance(value, dict):
        return {str(key): _frozen(part) for key, part in value.items()}
    if isinstance(value, list | tuple):
        return [_frozen(part) for part in value]
    if isinstance(value, float | Decimal):
        return _decimal_text(value)
    return value


def _decimal_text(number: float | Decimal) -> str:
    """Six places, ties away from zero; never minus nought."""
    if not math.isfinite(number):
        raise ValueError("A number that is not finite can't be frozen: it should have been null.")
    # repr of a float is its shortest exact form: what was typed, not what binary made of it.
    exact = number if isinstance(number, Decimal) else Decimal(repr(number))
    rounded = exact.quantize(SIX_PLACES, rounding=ROUND_HALF_UP)
    return f"{abs(rounded) if rounded == 0 else rounded:f}"


def _thawed(value: Any) -> Any:
    """Replace each text of a decimal by its number; asked of every word of a record, so quick to say no."""
    kind = type(value)
    if kind is str:
        is_decimal = value[-7:-6] == "." and _FROZEN_DECIMAL.fullmatch(value)
        return float(value) if is_decimal else value
    if kind is dict:
        return {key: _thawed(part) for key, part in value.items()}
    if kind is list:
        return [_thawed(part) for part in value]
    return value
